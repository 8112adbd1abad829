"""What the estimates read of the jobs."""
