"""A sign that no paper can show is asked about beside its field, in every form that holds a text (decision 0145).

Into each text of each form an emoji is typed, all at once: not one may be taken. The forms are those of money, jobs,
boats, people and parts that ``test_every_form_twice`` sends: what is typed there stands on estimates, authorizations,
invoices, statements, letters and tags.
"""

from __future__ import annotations

from typing import Any

import lxml.html
import pytest
from django.urls import reverse

from tests.commands.test_every_form_twice import FORMS, ids_of, ready, sent, stage
from tests.shopfloor.test_permissions import BY_NAME, NOT_THERE

SIGN = "🙂"
OTHERS = {"findings", "reports"}
"""What the readings and faults of an engine are typed into: read-outs are kept as they were, rows one by one."""
NOT_ON_PAPER = {"staff:password": "a user name that is shown for the browser", "account_change_password": "the same"}
WITH_A_PAGE = sorted(
    name for name, form in FORMS.items()
    if BY_NAME[name].to_get != NOT_THERE and not form.without_page
    and name.split(":")[0] not in OTHERS and name not in NOT_ON_PAPER
)  # fmt: skip


def texts_of(page: str, address: str) -> set[str]:
    """The names of the fields that are typed into, in the form that is sent."""
    tree = lxml.html.fromstring(page)
    here = address.split("?", maxsplit=1)[0]
    sent_here = [one for one in tree.forms if (one.action or address).split("?")[0] == here]
    form = [one for one in sent_here if one.method == "POST" and ids_of(one)][-1]
    return set(form.xpath(".//textarea/@name | .//input[not(@type) or @type='text']/@name"))


def told_of(page: str) -> set[str]:
    """The names of the fields that something is said of."""
    tree = lxml.html.fromstring(page)
    return set(tree.xpath("//*[@aria-invalid='true']/@name"))


@pytest.mark.parametrize("name", WITH_A_PAGE)
@pytest.mark.django_db
def test_no_text_is_taken_with_a_sign_that_no_paper_shows(name: str, settings: Any, tmp_path: Any) -> None:
    scene, client, address = ready(name, settings, tmp_path)
    body = sent(client, scene, name, address)
    body.pop("vessel", None) if name == "appointments:add" else None  # of a boat on record no name is kept
    texts = texts_of(client.get(address).content.decode(), address)
    if not texts:
        return
    answer = client.post(address, body | {one: f"{str(body.get(one, ''))[:20]}{SIGN}" for one in texts})
    assert answer.status_code == 422, (answer.status_code, texts)
    assert texts - told_of(answer.content.decode()) == set()


@pytest.mark.parametrize(("name", "step"), [("authorizations:job", "note"), ("authorizations:answer", "note")])
@pytest.mark.django_db
def test_nobody_signs_a_sheet_that_no_paper_can_show(name: str, step: str) -> None:
    """It is said before the sheet is shown, and not once it was signed."""
    scene, client = stage()
    FORMS[name].before(scene)
    address = reverse(name, args=BY_NAME[name].arguments(scene))
    body = sent(client, scene, name, address) | {"how": "drawn", "step": step}
    answer = client.post(address, body | {"words": f"Go on {SIGN}", "who": f"Wes {SIGN}"})
    assert answer.status_code == 422
    assert told_of(answer.content.decode()) == {"who", "words"}
    assert "Read and sign" not in answer.content.decode()
    assert "Read and sign" in client.post(address, body).content.decode()
