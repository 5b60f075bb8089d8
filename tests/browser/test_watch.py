"""The watchers themselves: what they are for, they see."""

import pytest


def test_it_hears_a_style_that_the_content_policy_blocks(page, complaints):
    page.goto("/sign-in/")
    with page.expect_console_message(lambda message: "Content Security Policy" in message.text):
        page.evaluate("document.head.appendChild(document.createElement('style')).textContent = 'p {}'")
    complaints.expect("Content Security Policy")


def test_it_hears_a_script_that_fails(page, complaints):
    page.goto("/sign-in/")
    with page.expect_event("pageerror"):
        page.evaluate("setTimeout(() => { throw new Error('torn page') })")
    complaints.expect("torn page")


def test_axe_sees_a_picture_without_words(page, axe):
    page.goto("/sign-in/")
    page.evaluate("document.querySelector('main').append(document.createElement('img'))")
    with pytest.raises(AssertionError, match="image-alt"):
        axe(page)


def test_the_door_has_no_violation(page, axe, look, size, device):
    door = device(size).new_page()
    door.goto("/sign-in/")
    axe(door)
    look(door, "sign-in")
