"""The body, and what a drawing on it means. Plain Python: knows no patient and no Django."""
