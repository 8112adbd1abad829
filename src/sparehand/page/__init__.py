"""The bay page: the job on a device of the workshop network."""
