"""The visit around the work: what to charge, what was promised, what is due. Pure, but for the rates and plan files."""
