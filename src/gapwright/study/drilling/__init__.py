"""The drilling, spark by spark, and what is kept of it."""
