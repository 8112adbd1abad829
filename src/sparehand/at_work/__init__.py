"""Beginning a job or going on with one."""
