"""What somebody typed cannot become markup: only ``web/markup.py`` makes markup of text, and no template does.

The rules look for the ways in which Django lets a text through unescaped, and for tags that are put together by hand.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
APPS = [
    "shopfloor",
    "billing",
    "findings",
    "workorders",
    "parts",
    "vessels",
    "staff",
]  # the ground floor knows no markup
MODULES = sorted(path for app in APPS for path in (ROOT / app).rglob("*.py") if "migrations" not in path.parts)
THE_ONE = ROOT / "staff" / "markup.py"
PICTURES_OF_LIBRARIES = {"files/paper/qr.py", "workorders/views/jobs.py"}  # nothing in them but a QR code's shapes

MAKERS = {"mark_safe", "SafeString", "SafeText", "SafeData", "escape", "conditional_escape", "html_safe"}
FILLERS = {"filled", "each_filled", "format_html", "format_html_join"}
ELEMENTS = (
    "a abbr article aside b body br button caption circle code dd defs details dialog div dl dt em fieldset footer "
    "form g h1 h2 h3 h4 head header html i iframe img input label legend li line link main meta nav object ol optgroup "
    "option output p path pre rect script section select small span strong style sub summary sup svg table tbody td "
    "text textarea tfoot th thead time title tr tspan ul use video"
)
TAG = re.compile(rf"(?<!\(\?P)</?(?:{'|'.join(ELEMENTS.split())})(?:[\s/>]|$)", re.I)


def name_of(call: ast.Call) -> str:
    """The last word of what is called."""
    called = call.func
    return called.attr if isinstance(called, ast.Attribute) else called.id if isinstance(called, ast.Name) else ""


def pattern_of(call: ast.Call) -> ast.expr | None:
    """Where a filler's pattern stands."""
    place = 1 if name_of(call) == "format_html_join" else 0
    return call.args[place] if len(call.args) > place else None


def is_written_out(pattern: ast.expr | None) -> bool:
    return isinstance(pattern, ast.Constant) and isinstance(pattern.value, str)


def words_of(text: ast.JoinedStr) -> str:
    return "".join(str(part.value) if isinstance(part, ast.Constant) else " " for part in text.values)


def openings(source: str) -> Iterator[str]:
    """Every way in a module in which a text might become markup."""
    tree = ast.parse(source)
    filled_in = {
        id(pattern_of(call)) for call in ast.walk(tree) if isinstance(call, ast.Call) and name_of(call) in FILLERS
    }
    expected = filled_in | {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}  # docstrings
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            name = name_of(node)
            if name in MAKERS and not (isinstance(node.func, ast.Attribute) and ast.unparse(node.func) == "re.escape"):
                yield f"{node.lineno}: {name}(…)"
            if name in FILLERS and not is_written_out(pattern_of(node)):
                yield f"{node.lineno}: the pattern of {name} is not written out"
            if name in {"Template", "from_string"}:
                yield f"{node.lineno}: a template out of a text"
            if name == "picture_of_a_library":
                yield f"{node.lineno}: picture_of_a_library(…)"
            if any(
                key.arg == "autoescape" or (key.arg == "is_safe" and key.value != ast.Constant(False))
                for key in node.keywords
            ):
                yield f"{node.lineno}: escaping is switched off"
        elif isinstance(node, ast.FunctionDef) and node.name == "__html__":
            yield f"{node.lineno}: __html__"
        elif isinstance(node, ast.ImportFrom | ast.Import) and any(
            one.name in {"mark_safe", "conditional_escape", "html_safe"} or one.name.endswith("saxutils")
            for one in node.names
        ):
            yield f"{node.lineno}: imports what makes markup"
        elif isinstance(node, ast.JoinedStr) and TAG.search(words_of(node)):
            yield f"{node.lineno}: a tag in an f-string"
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in expected:
            yield from [f"{node.lineno}: a tag in a text that no filler escapes for"] if TAG.search(node.value) else []


def told(path: Path) -> list[str]:
    """What is open in a module, but for the pictures where they are known."""
    name = str(path.relative_to(ROOT))
    found = openings(path.read_text())
    return [f"{name}:{one}" for one in found if name not in PICTURES_OF_LIBRARIES or "picture_of_a_library" not in one]


def test_no_module_lets_a_text_become_markup() -> None:
    assert len(MODULES) > 300
    assert [one for path in MODULES if path != THE_ONE for one in told(path)] == []


def test_where_pictures_of_libraries_are_used_is_known() -> None:
    for name in PICTURES_OF_LIBRARIES:
        assert "picture_of_a_library(" in (ROOT / name).read_text()


@pytest.mark.parametrize(
    "source",
    [
        "mark_safe(text)",
        "safestring.mark_safe(text)",
        "from django.utils.safestring import mark_safe",
        "SafeString(text)",
        'SafeString("<b>")',
        "from html import escape\nescape(text)",
        "format_html(text)",
        'format_html("<b>" + text)',
        'format_html(f"<b>{text}</b>")',
        "filled(PATTERN, text)",
        'filled("<b>%s</b>" % text)',
        'format_html_join("", text, rows)',
        'f"<b>{text}</b>"',
        'f"<a href={text}"',
        '"<b>" + text',
        '"<b>{}</b>".format(text)',
        "Template(text)",
        'engines["django"].from_string(text)',
        "Context(words, autoescape=False)",
        "register.filter(loud, is_safe=True)",
        "class A:\n    def __html__(self):\n        return self.text",
        "picture_of_a_library(text)",
    ],
)
def test_the_scan_sees_every_way(source: str) -> None:
    assert list(openings(source))


@pytest.mark.parametrize(
    "source",
    [
        'filled("<b>{}</b>", text)',
        'format_html("<a href=\\"{}\\">{}</a>", url, text)',
        'format_html_join("", "<li>{}</li>", rows)',
        'def bold(text):\n    """As ``<b>`` does."""',
        "re.escape(text)",
        'f"{low} < {high}"',
        'f"a <= {b}"',
        "def markup() -> SafeString: ...",
        "isinstance(text, SafeString)",
    ],
)
def test_the_scan_lets_honest_code_pass(source: str) -> None:
    assert list(openings(source)) == []


# --- templates ---

VALUE = "\ue000"  # stands for {{ … }}
LETS_THROUGH = re.compile(r"\|\s*(safe|safeseq|escapejs|unordered_list|urlize|urlizetrunc)\b")
OBEYED = {"hx-vals", "hx-headers", "hx-vars", "hx-trigger", "hx-ext", "hx-swap", "hx-target", "hx-request", "style"}


class TemplateReader(HTMLParser):
    """Where the values stand in a template's markup."""

    def __init__(self, markup: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.inside = ""
        self.feed(markup)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A value belongs within quotes, and not where htmx reads what to do."""
        raw = re.sub(r"\"[^\"]*\"|'[^']*'", "", self.get_starttag_text() or "")
        if VALUE in raw:
            self.found.append(f"a value outside of quotes in <{tag}>")
        for name, value in attrs:
            if name == "hx-headers":
                self.found.append("hx-headers: the token travels in each form, not with every request")
            if (name in OBEYED or name.startswith(("on", "hx-on"))) and VALUE in (value or "").replace(f"-{VALUE}", ""):
                self.found.append(f"a value in {name}")
        self.inside = tag if tag in {"script", "style"} else ""

    def handle_endtag(self, tag: str) -> None:
        """What follows is text again."""
        self.inside = ""

    def handle_data(self, data: str) -> None:
        """No value belongs into a script or a style."""
        if VALUE in data and self.inside:
            self.found.append(f"a value in <{self.inside}>")


def template_openings(markup: str) -> list[str]:
    """Every way in a template in which a text might become markup or an order."""
    markup = re.sub(r"\{#.*?#\}|\{% comment %\}.*?\{% endcomment %\}", "", markup, flags=re.S)
    found = [f"|{name}" for name in LETS_THROUGH.findall(markup)]
    found += re.findall(r"\{%\s*(?:autoescape|filter)\b.*?%\}", markup)
    plain = re.sub(r"\{%.*?%\}", "", re.sub(r"\{\{.*?\}\}", VALUE, markup, flags=re.S), flags=re.S)
    found += [f"an element's name: {one}" for one in re.findall(f"</?{VALUE}", plain)]
    return found + TemplateReader(plain).found


def test_no_template_lets_a_text_become_markup() -> None:
    assert len(TEMPLATES) > 150
    assert {str(path.relative_to(ROOT)): template_openings(path.read_text()) for path in TEMPLATES} == {
        str(path.relative_to(ROOT)): [] for path in TEMPLATES
    }


@pytest.mark.parametrize(
    "markup",
    [
        "{{ text|safe }}",
        "{{ text | safe }}",
        "{{ texts|safeseq|join:', ' }}",
        "{{ text|urlize }}",
        "{% autoescape off %}{{ text }}{% endautoescape %}",
        "{% filter safe %}{{ text }}{% endfilter %}",
        "<p title={{ text }}>",
        "<p data-{{ name }}='1' {{ text }}=1>",
        "<{{ name }}>",
        "<script src='a.js'>{{ text }}</script>",
        "<style>{{ text }}</style>",
        """<div hx-vals='{"a": "{{ text }}"}'>""",
        """<body hx-headers='{"X-CSRFToken": "x"}'>""",
    ],
)
def test_the_scan_sees_every_way_in_a_template(markup: str) -> None:
    assert template_openings(markup)


@pytest.mark.parametrize(
    "markup",
    [
        '<p title="{{ text }}">{{ text }}</p>',
        '<a href="?q={{ text|urlencode }}">{{ text|linebreaksbr }}</a>',
        """<div hx-vals='{"step": "check"}'>""",
        "{# {{ text|safe }} #}",
    ],
)
def test_the_scan_lets_honest_templates_pass(markup: str) -> None:
    assert template_openings(markup) == []
