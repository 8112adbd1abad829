"""What people see: the terminal, the job card, the tag, the reports."""
