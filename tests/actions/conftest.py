import pytest

from compaction.queries import set_up
from tests.builders import Site, make_project


@pytest.fixture
def site(db) -> Site:
    set_up.forget()
    return make_project()
