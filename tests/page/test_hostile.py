"""Requests that no browser of hers would send: each is answered in words, none breaks the page."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.routing import Route

from plaidcut.page.app import make_app
from tests.page.opening import DOOR

WORDS = st.one_of(
    st.text(max_size=40),
    st.sampled_from(
        [
            *("U1", "U1-U3", "X1", "1/2 in", "5", "-1 mm", "1e999 mm", "nan in", "8", "#8", "5 mm"),
            *("rectangle", "points", "1,2,3,4", "1,2 3,4 5,6 7,8", "inf,nan", "0,0 0,0 0,0"),
            *(
                "\x00",
                "../../etc/passwd",
                "<script>",
                "'; drop table",
                "\u202e",
                "=cmd()",
                "9" * 400,
            ),
        ]
    ),
)
FIELDS = st.sampled_from(
    [
        *("up", "across", "name", "mirrored", "warp", "washed", "bands", "kind", "value", "alone"),
        *("wish", "cut", "units", "back", "way", "size", "corners", "points", "apart", "outline"),
        *("px_per_mm", "printed_width", "printed_height", "narrowest", "photo", "keep", "piece"),
    ]
)
FORMS = st.dictionaries(FIELDS, WORDS, max_size=8)


def addresses(table):
    """Every address of the page that takes a request, with its methods."""
    routes = [route for route in make_app(table, DOOR).routes if isinstance(route, Route)]
    return [(route.path, method) for route in routes for method in sorted(route.methods - {"HEAD"})]


@pytest.fixture
def every(table):
    """The addresses that tests try."""
    found = addresses(table)
    assert len(found) > 10
    return found


@settings(max_examples=200, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(typed=FORMS, data=st.data())
def test_whatever_is_typed_is_answered(page, by_hand, every, typed, data):
    """Any fields with any values at any address: an answer in words, never a fault of ours."""
    path, method = data.draw(st.sampled_from(every))
    if path.endswith("/forget"):
        return
    path = path.replace("/cloths/{cloth}", by_hand)
    while "{" in path:
        begin, end = path.index("{"), path.index("}")
        path = (
            path[:begin] + data.draw(st.sampled_from(["x", "..", "%00", "a.jpg"])) + path[end + 1 :]
        )
    if method == "GET":
        answer = page.get(path, params=typed)
    else:
        answer = page.request(method, path, data=typed)
    assert answer.status_code < 500 or answer.status_code == 503, answer.text
    assert "Traceback" not in answer.text
    assert "<script>" not in answer.text


@pytest.mark.parametrize(
    "headers",
    [
        {"content-type": "multipart/form-data"},
        {"content-type": "multipart/form-data; boundary=x"},
        {"content-type": "application/json"},
        {"content-type": "application/x-www-form-urlencoded; charset=nonsense"},
        {"content-length": "-5"},
        {"cookie": f'{DOOR.cookie}="; \x01'},
        {"x-plaidcut-part": "<b>"},
    ],
)
@pytest.mark.parametrize("path", ["/photos", "/by-hand", "/units", "/demo"])
def test_a_request_that_contradicts_itself_is_answered(page, table, path, headers):
    """Headers that promise what the body doesn't hold end in a refusal, and nothing is kept."""
    page.headers.update(headers)
    answer = page.post(path, content=b"--x\r\nno form at all\x00\xff")
    assert answer.status_code < 500
    if path != "/demo":
        assert not table.cloths()


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_other_methods_do_nothing(page, table, by_hand, method):
    """Nothing is changed by a method that the page doesn't use."""
    assert page.request(method, by_hand).status_code in (403, 405)
    assert len(table.cloths()) == 1


def test_a_form_of_very_many_fields_is_refused(page, table):
    """A request made to tire the page out is refused early."""
    fields = {f"field{number}": "x" for number in range(5000)}
    assert page.post("/by-hand", data=fields).status_code == 400
    assert page.post("/by-hand", data={"up": "x" * 2_000_000}).status_code == 400
    assert not table.cloths()
