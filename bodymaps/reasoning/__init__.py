"""What a story and a set of findings say beside a drawing: flags, fitting nerves, evidence. No diagnosis."""
