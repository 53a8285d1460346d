"""Codes are readable, given once, and numbered on from the highest in use."""

import pytest
from django.core.exceptions import ValidationError

from registry import codes
from tests import make

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("code", ["EA-001", "D 3", "é1", "2026/17", "A", "X_1.b"])
def test_a_code_is_letters_digits_and_a_few_signs(code):
    """What fits on a label is taken."""
    codes.check_code(code)


@pytest.mark.parametrize(
    "code", ["", " A", "A ", "-A", "<b>", '"', "=1+1", "A\nB", "A" * 41, "A;B", "@x", "A'B"]
)
def test_nothing_else_is_a_code(code):
    """Markup, formulas, quotes and line breaks are refused in a sentence."""
    with pytest.raises(ValidationError, match=r"code"):
        codes.check_code(code)


def test_the_same_code_twice_is_refused_whatever_its_case():
    """EA-1 and ea-1 would be one animal to anybody reading."""
    with pytest.raises(ValidationError, match="twice"):
        codes.refuse_repeats(["EA-1", "ea-1"])


def test_a_run_goes_on_after_the_highest_number_in_use():
    """Gaps are not filled: a number once used is not used again."""
    make.animal("EA-007")
    make.animal("EA-002")
    make.animal("EAX-050")
    assert codes.run_of_codes("EA-###", 3) == ["EA-008", "EA-009", "EA-010"]


def test_a_run_starts_at_one():
    """Nothing on record yet."""
    assert codes.run_of_codes("QX ##/26", 2) == ["QX 01/26", "QX 02/26"]


@pytest.mark.parametrize("pattern", ["EA", "##-##", "=#", "#" * 41])
def test_a_pattern_has_one_run_of_signs(pattern):
    """Anything else is refused."""
    with pytest.raises(ValidationError):
        codes.run_of_codes(pattern, 1)


def test_a_run_longer_than_its_digits_is_refused():
    """Two digits hold 99."""
    make.animal("B-98")
    assert codes.run_of_codes("B-##", 1) == ["B-99"]
    with pytest.raises(ValidationError, match="too few"):
        codes.run_of_codes("B-##", 2)


def test_codes_in_use_are_found_whatever_their_case():
    """A clutch's code counts too."""
    make.animal("EA-1")
    make.clutch("K1")
    assert codes.codes_in_use(["ea-1", "k1", "new"]) == {"EA-1", "K1"}


@pytest.mark.parametrize("text", ["", "1.2.3.4", "x", "1.-2", "1..2", "²"])
def test_a_count_is_numbers_with_dots(text):
    """Nothing else is read as a count."""
    with pytest.raises(ValidationError, match=r"males\.females\.unsexed"):
        codes.counts(text)
