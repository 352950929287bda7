"""The rig and the job as the user writes them: records, and files into records and back."""
