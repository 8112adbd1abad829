"""The file format of a procedure: types, loading, checks, quantities and the plan of a run."""
