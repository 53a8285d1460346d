"""Somebody who uses the pages as they are: reads them, follows links, fills in their own forms.

A field is named by its label, a button by its words; what a page does not offer cannot be sent.
"""

import re
from html.parser import HTMLParser


class Form:
    """One form of a page: where it goes, what it sends by itself, its labels and its buttons."""

    def __init__(self, told):
        self.action, self.method = told.get("action") or "", told.get("method", "get").lower()
        self.values, self.labels, self.options, self.buttons = {}, {}, {}, {}
        self.boxes = {}

    def fill(self, label, value):
        """Type into a field, choose an option by its words, or tick boxes by theirs."""
        names = [name for key, name in self.labels.items() if key == label]
        assert len(names) == 1 or label in self.boxes, f"no field “{label}”: {[*self.labels]}"
        if label in self.boxes:
            name, own, alone = self.boxes[label]
            kept = [one for one in self.values.get(name, []) if one != own and not alone]
            self.values[name] = [*kept, own] if value else kept
        elif names[0] in self.options:
            options = self.options[names[0]]
            assert value in options, f"“{label}” offers {[*options]}"
            self.values[names[0]] = [options[value]]
        else:
            self.values[names[0]] = [str(value)]


class Reader(HTMLParser):
    """Reads the forms, links, words and table rows of a page."""

    def __init__(self, text):
        super().__init__()
        self.forms, self.links, self.words, self.rows = [], [], [], []
        self.form = self.select = self.area = self.said = self.row = None
        self.ids, self.waiting = {}, []
        self.feed(text)
        self._tie()

    def handle_starttag(self, tag, attrs):
        """Note what a tag begins."""
        told = dict(attrs)
        if tag == "form":
            self.form = Form(told)
            self.forms.append(self.form)
        elif tag in {"a", "label", "button", "option", "textarea"}:
            self.said = [tag, told, ""]
            if tag == "textarea" and self.form:
                self._field(told, "")
        elif tag == "select" and self.form:
            self.select = told["name"]
            self.form.options[self.select] = {}
            self.ids[told.get("id")] = self.select
        elif tag == "input" and self.form:
            self._input(told)
        elif tag == "tr":
            self.row = []
            self.rows.append(self.row)
        elif tag in {"td", "th"} and self.row is not None:
            self.row.append("")

    def _field(self, told, value):
        self.form.values[told["name"]] = [value] if value is not None else []
        self.ids[told.get("id")] = told["name"]

    def _input(self, told):
        kind, value = told.get("type", "text"), told.get("value", "")
        if kind in {"checkbox", "radio"}:
            own = told.get("value", "on")
            self.ids[told.get("id")] = (told["name"], own, kind == "radio")
            self.form.values.setdefault(told["name"], []).extend([own] * ("checked" in told))
        elif kind not in {"submit", "file"} and told.get("name"):
            self._field(told, value)

    def handle_data(self, data):
        """Take in words."""
        self.words.append(data)
        if self.said:
            self.said[2] += data
        if self.row:
            self.row[-1] += data

    def handle_endtag(self, tag):
        """Keep what a tag said, once it ends."""
        if tag == "form":
            self.form = None
        elif tag == "select":
            self.select = None
        elif tag == "tr":
            self.row = None
        if self.said and self.said[0] == tag:
            self._keep(*self.said)
            self.said = None

    def _keep(self, tag, told, text):
        text = plain(text)
        if tag == "a":
            self.links.append((text, told.get("href", "")))
        elif tag == "label" and self.form:
            self.waiting.append((self.form, told.get("for"), text))
        elif tag == "button" and self.form:
            self.form.buttons[text] = (told.get("name"), told.get("value", ""))
        elif tag == "option" and self.select:
            self.form.options[self.select][text] = told.get("value", text)
            if "selected" in told or self.select not in self.form.values:
                self.form.values[self.select] = [told.get("value", text)]
        elif tag == "textarea" and self.form:
            self.form.values[told["name"]] = [text]

    def _tie(self):
        """Tie each label to the field it is for."""
        for form, field, text in self.waiting:
            name = self.ids.get(field)
            if isinstance(name, tuple):
                form.boxes[text] = name
            elif name:
                form.labels.setdefault(text.removesuffix(" optional"), name)


def plain(text):
    """Return text with its white space made single."""
    return " ".join(text.split())


class Visitor:
    """Somebody signed in, on a page."""

    def __init__(self, client):
        self.client, self.address, self.page, self.form = client, "/", None, None

    def open(self, address):
        """Open a page."""
        return self._read(self.client.get(address, follow=True), address)

    def _read(self, response, address):
        assert response.status_code == 200, (address, response.status_code)
        last = response.redirect_chain[-1][0] if response.redirect_chain else address
        self.address, self.page = last, Reader(response.text)
        forms = [form for form in self.page.forms if form.method == "post" and form.labels]
        self.form = forms[0] if forms else None
        return self

    def follow(self, words, nth=0):
        """Follow a link by its words."""
        found = [href for text, href in self.page.links if text == words]
        assert len(found) > nth, f"no link “{words}”: {[text for text, _ in self.page.links]}"
        href = found[nth]
        return self.open(href if href.startswith("/") else self.address.partition("?")[0] + href)

    def fill(self, **told):
        """Fill in fields by their labels, `_` for a space."""
        for label, value in told.items():
            self.form.fill(label.replace("_", " "), value)
        return self

    def press(self, words):
        """Press a button of the form by its words."""
        assert words in self.form.buttons, f"no button “{words}”: {[*self.form.buttons]}"
        name, value = self.form.buttons[words]
        sent = {key: values for key, values in self.form.values.items() if values}
        sent |= {name: [value]} if name else {}
        address = self.form.action or self.address
        return self._read(self.client.post(address, sent, follow=True), address)

    @property
    def said(self):
        """Everything the page says, in one line."""
        return plain(" ".join(self.page.words))

    def row(self, first):
        """Return the cells of the table row that begins with some words."""
        found = [[plain(cell) for cell in row] for row in self.page.rows if row]
        rows = [row for row in found if row[0] == first]
        assert rows, f"no row “{first}”: {found}"
        return rows[0]

    def errors(self):
        """Return what the page says is wrong."""
        return re.findall(r"Nothing is saved[^.]*\.", self.said)
