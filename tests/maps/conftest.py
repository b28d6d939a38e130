import pytest

from tests.builders import Site
from tests.maps.busy_site import make_busy_site


@pytest.fixture
def busy_site(db: None) -> Site:
    return make_busy_site()


@pytest.fixture
def hostile_site(db: None) -> Site:
    return make_busy_site(hostile=True)
