from tests.charting.people import anna, as_mara, ines, mara, poll, practice, tom, visit

__all__ = ["anna", "as_mara", "ines", "mara", "poll", "practice", "tom", "visit"]
