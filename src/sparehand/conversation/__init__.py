"""The conversation about a job: what comes in, what is answered."""
