"""Hidden fields of a page, as the browser would send them."""

import re


def hidden_of(page: str, action: str, number: int = 0) -> dict[str, str]:
    """Those of a form that is posted to an address (empty: to the page itself), without the token."""
    target = rf'(?=[^>]*action="{re.escape(action)}")' if action else "(?![^>]*action=)"
    forms = re.findall(rf'<form(?=[^>]*method="post"){target}[^>]*>(.*?)</form>', page, re.DOTALL)
    assert forms, action
    inputs = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', forms[number])
    return {name: value for name, value in inputs if name != "csrfmiddlewaretoken"}


def hidden_value(page: str, name: str) -> str:
    """That of one name, wherever it stands first."""
    found = re.search(rf'<input type="hidden" name="{name}" value="([^"]*)"', page)
    assert found is not None, name
    return found[1]
