"""What is done at the desk."""
