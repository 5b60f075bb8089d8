"""The right of access: everything that is kept about a person, in one file that opens anywhere."""
