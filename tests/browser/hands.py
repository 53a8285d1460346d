"""Two ways to work a page: with a pointer, and with nothing but the keys."""

from datetime import date

MOST_STOPS = 600  # whoever has not come to it by then is caught in a trap


class Pointer:
    """Clicks and fills in, as with a mouse or a finger."""

    def __init__(self, page):
        self.page = page

    def press(self, one):
        """Follow a link, press a button, unfold what is folded."""
        one.click()

    def write(self, field, text):
        """Fill in a text."""
        field.fill(text)

    def write_day(self, field, day):
        """Fill in a day."""
        field.fill(day.isoformat())

    def choose(self, field, label):
        """Choose one of several by its words."""
        field.select_option(label=label)

    def tick(self, box, wanted=True):
        """Tick a box, or take the tick away."""
        box.set_checked(wanted)

    def hand_in(self, field, file):
        """Choose a file."""
        field.set_input_files(file)


class Keys:
    """Comes to everything by Tab and does all with Enter, Space, arrows and letters.

    On each stop the focus is to be seen; what cannot be come to is a fault.
    """

    def __init__(self, page):
        self.page, self.keys = page, page.keyboard

    def press(self, one):
        """Press Enter on it."""
        self.come_to(one)
        one.press("Enter")  # it has the focus already; this waits for what comes of it

    def write(self, field, text):
        """Type a text over what stands there."""
        self.come_to(field)
        self.keys.press("ControlOrMeta+a")
        for number, line in enumerate(text.split("\n")):
            if number:
                self.keys.press("Enter")
            self.keys.type(line)
        assert field.input_value() == text

    def write_day(self, field, day: date):
        """Type month, day and year, as an American browser asks for them."""
        self.come_to(field)
        self.keys.type(f"{day:%m%d%Y}")
        assert field.input_value() == day.isoformat()

    def choose(self, field, label):
        """Go up or down to the words with the arrows."""
        self.come_to(field)
        told = field.evaluate(
            "(one, label) => [one.selectedIndex,"
            " [...one.options].findIndex((each) => each.label.trim() === label)]",
            label.strip(),
        )
        now, wanted = told
        assert wanted >= 0, f"nothing is called {label}"
        for _ in range(abs(wanted - now)):
            self.keys.press("ArrowDown" if wanted > now else "ArrowUp")
        assert field.evaluate("one => one.selectedIndex") == wanted

    def tick(self, box, wanted=True):
        """Press Space where the tick is not as wanted."""
        if box.is_checked() != wanted:
            self.come_to(box)
            self.keys.press("Space")
        assert box.is_checked() == wanted

    def hand_in(self, field, file):
        """Have the file chosen that Space asks for."""
        self.come_to(field)
        with self.page.expect_file_chooser() as asked:
            self.keys.press("Space")
        asked.value.set_files(file)

    def come_to(self, one):
        """Press Tab until the focus is on it."""
        goal = one.element_handle()
        for _ in range(MOST_STOPS):
            if goal.evaluate("one => one === document.activeElement"):
                return
            self.keys.press("Tab")
            unseen = self.page.evaluate(UNSEEN)
            assert not unseen, f"the focus is not to be seen on {unseen}"
        raise AssertionError(f"Tab does not come to {one}")


UNSEEN = """() => {
  const one = document.activeElement;
  if (one === document.body || one.id === "content") return "";
  const style = getComputedStyle(one);
  const seen = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
  return seen ? "" : one.outerHTML.slice(0, 160);
}"""
