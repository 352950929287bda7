"""What can hurt: rules that turn what a rig endures into cautions."""
