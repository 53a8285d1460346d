"""What a printed paper says, read back from the file."""

from io import BytesIO

from pypdf import PdfReader

MILLIMETRE = 72 / 25.4  # in the points of a PDF file


def reader(content):
    """Return a PDF file opened."""
    return PdfReader(BytesIO(content))


def text_of(content):
    """Return the text of all pages, one space between words and no marks for breaking."""
    text = " ".join(page.extract_text() for page in reader(content).pages)
    return " ".join(text.replace("\u200b", "").split())


def places_of(page):
    """Return each piece of text with where it begins, in millimetres from the top left corner."""
    found, high = [], float(page.mediabox.height)

    def visit(text, cm, tm, font, size):
        x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
        y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
        found.append((text.strip(), x / MILLIMETRE, (high - y) / MILLIMETRE))

    page.extract_text(visitor_text=visit)
    return [place for place in found if place[0]]
