"""The day's page stays short however much there is, and leads to all of it."""

import pytest
from django.urls import reverse

from registry.today import AT_ONCE, Section, Task
from registry.views import today
from tests import make

pytestmark = pytest.mark.django_db


def much(on, user):
    """A section of 60 tasks, every tenth of them late."""
    tasks = (Task(text=f"Task-{n:02}.", late=n % 10 == 9) for n in range(60))
    return Section(title="Much to do", tasks=tuple(tasks))


def little(on, user):
    """A section of as many tasks as stand on the page."""
    return Section(title="A little", tasks=(Task(text="Small."),) * AT_ONCE)


@pytest.fixture
def keeper(client, settings):
    settings.TODAY_SECTIONS = [f"{__name__}.much", f"{__name__}.little"]
    make.animal()
    client.force_login(make.user())
    return client


def test_of_many_tasks_the_first_stand_on_the_page_the_late_ones_before_all(keeper):
    page = keeper.get(reverse("today"))
    text = page.content.decode()
    shown = [task.text for task in page.context["sections"][0].first]
    assert shown[:7] == [f"Task-{n}." for n in ("09", "19", "29", "39", "49", "59", "00")]
    assert len(shown) == text.count("Task-") == AT_ONCE
    assert (page.context["waiting"], page.context["late"]) == (110, 6)
    assert f'<a href="{reverse("section-show", args=["much"])}">Much to do: all 60</a>' in text
    assert text.count("Small.") == AT_ONCE
    assert "A little: all" not in text


def test_the_page_of_a_section_has_all_of_it_in_its_own_order(keeper, monkeypatch):
    at = reverse("section-show", args=["much"])
    text = keeper.get(at).content.decode()
    places = [text.index(f"Task-{n:02}.") for n in range(60)]
    assert places == sorted(places)
    monkeypatch.setattr(today, "AT_ONCE", 40)
    first, last = (keeper.get(f"{at}?page={n}").content.decode() for n in (1, 2))
    assert "Task-39." in first
    assert "Task-40." not in first
    assert "Task-40." in last
    assert "Task-39." not in last


def test_a_section_that_the_settings_do_not_name_has_no_page(keeper):
    assert keeper.get(reverse("section-show", args=["order_of_work"])).status_code == 404
