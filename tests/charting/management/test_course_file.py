"""A course that names what no catalogue knows is refused with file, entry and what to mend."""

import pytest

from charting.management import course_file
from charting.management.course_checks import CourseError

TEXT = course_file.FILE.read_text(encoding="utf-8")
FIRST = "courses.toml: Birgit Thorvald, visit 1: "


def test_the_file_of_the_release_holds_twelve_people_with_at_least_two_visits_each():
    courses = course_file.load()
    assert len(courses) >= 12
    assert all(len(course.visits) >= 2 for course in courses)


@pytest.mark.parametrize(
    ("was", "now", "says"),
    [
        ("scalenus_medius.right active 8", "scalenus_maximus.right active 8", "a muscle of the atlas"),
        ("scalenus_medius.right active 8", "scalenus_medius.right hot 8", "'hot' is none of active"),
        ("scalenus_medius.right active 8", "scalenus_medius.right active 11", "pain"),
        ("front ache 34 scm_lower", "front ache 34 third_eye", "'third_eye' is no landmark of the front"),
        ("front ache 34 scm_lower", "front itch 34 scm_lower", "'itch' is none of ache"),
        ("neck_rotation right 52 goniometer", "neck_rotation right 52 tape", "instrument"),
        ("neck_rotation right 52 goniometer", "neck_nodding right 52 goniometer", "movement of ranges.toml"),
        ("nprs = [7, 4, 9, 7]", "nprs = [7, 4, 9]", "nprs: now, best, worst, average"),
        ("totals = { ndi = [21, 10] }", "totals = { ndi = [51, 10] }", "ndi"),
        ('how = "contract_relax"', 'how = "by_wish"', "dose_how: Choose from the list"),
        ('technique = "stretch"', 'technique = "leeches"', "Choose a technique"),
    ],
)  # fmt: skip
def test_a_visit_is_refused_in_words(was, now, says):
    assert TEXT.count(was)
    with pytest.raises(CourseError) as told:
        course_file.read(TEXT.replace(was, now, 1))
    assert str(told.value).startswith(FIRST)
    assert says in str(told.value)


@pytest.mark.parametrize(
    ("was", "now", "says"),
    [
        ('onset = "gradual"', 'onset = "moonlit"', "Birgit Thorvald: "),
        ('areas = ["neck", ', 'areas = ["nape", ', "no area of consent_areas"),
        ('areas = ["neck", ', "areas = [", "areas lacks neck"),
        ('what = "bruise"', 'what = "curse"', "reaction of 60 days: what: 'curse'"),
        ("days_ago = 61", "days_ago = 97", "the earliest first"),
        ("days_ago = 12\n", "days_ago = 0\n", "all of them before today"),
        ("nprs = [5, 2, 7, 5]\n", "nprs = [5, 2, 7, 5]\nmood = 3\n", "mood is not known here"),
        ('given_names = "Joris"\n', "", "given_names"),
    ],
)  # fmt: skip
def test_a_course_is_refused_in_words(was, now, says):
    assert TEXT.count(was)
    with pytest.raises(CourseError, match="^courses.toml: ") as told:
        course_file.read(TEXT.replace(was, now, 1))
    assert says in str(told.value)


def test_nobody_stands_twice():
    start = TEXT.index("[[course]]", TEXT.index("# 7."))
    once = TEXT[start : TEXT.index("# 8.")]
    with pytest.raises(CourseError, match="Osei Kwabena .*stands twice"):
        course_file.read(TEXT + "\n" + once)
