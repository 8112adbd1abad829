"""What this shop knows: earlier jobs, technicians, wrenches."""
