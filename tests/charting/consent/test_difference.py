"""Two texts side by side, word by word. Worked by hand."""

from charting.consent.difference import between, changes


def shown(before, after):
    return [[(each.kind, each.words) for each in row.pieces] for row in changes(before, after)]


def test_the_same_words_differ_in_nothing_however_they_are_spaced():
    assert changes("One two.\n\nThree.", "One  two.\n\nThree.") == ()
    assert changes("", "") == ()


def test_a_word_put_in_taken_out_or_replaced():
    assert shown("a b d", "a b c d") == [[("same", "a b"), ("new", "c"), ("same", "d")]]
    assert shown("a b c", "a c") == [[("same", "a"), ("gone", "b"), ("same", "c")]]
    assert shown("a b c", "a x c") == [[("same", "a"), ("gone", "b"), ("new", "x"), ("same", "c")]]


def test_only_the_paragraphs_that_changed_are_told():
    assert shown("One.\n\nTwo.\n\nThree.", "One.\n\nTwo now.\n\nThree.") == [
        [("gone", "Two."), ("new", "Two now.")]
    ]


def test_a_whole_paragraph_put_in_stands_alone():
    assert shown("One.\n\nTwo.", "One.\n\nNew.\n\nTwo.") == [[("new", "New.")]]


def test_every_word_of_both_is_there():
    before, after = "the lung lies near\n\ncall us", "the lung lies very near\n\ncall at once"
    pieces = [each for row in between(before, after) for each in row.pieces]
    assert " ".join(each.words for each in pieces if each.kind != "new") == before.replace("\n\n", " ")
    assert " ".join(each.words for each in pieces if each.kind != "gone") == after.replace("\n\n", " ")
