"""What each kind of event changes in the progress of a job. Every function here is pure."""
