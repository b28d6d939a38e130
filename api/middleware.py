"""Problems where no view of the API had a say: unknown addresses, wrong hosts, faults. Only under /api/."""

from collections.abc import Callable

from django.core.exceptions import DisallowedHost
from django.http import HttpRequest, HttpResponse

from api import problems
from api.errors import MEDIA_TYPE, Problem, response


class ProblemMiddleware:
    """Turns an error page of Django into a problem. Stands before all others that can refuse a request."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request."""
        answer = self.get_response(request)
        if answer.status_code < 400 or not request.path_info.startswith("/api/"):
            return answer
        if answer.get("Content-Type", "").startswith(MEDIA_TYPE):
            return answer
        code = problems.BY_STATUS.get(answer.status_code, "bad-request" if answer.status_code < 500 else "internal")
        if code == "bad-request" and not _host_is_served(request):
            code = "bad-host"
        made = response(request, Problem(code))
        # The answer itself is changed, so that it keeps the headers that the layers within have put on it.
        answer.status_code = made.status_code
        answer.content = made.content
        answer["Content-Type"] = MEDIA_TYPE
        answer["Content-Length"] = str(len(made.content))
        del answer["Content-Encoding"]
        return answer


def _host_is_served(request: HttpRequest) -> bool:
    try:
        request.get_host()
    except DisallowedHost:
        return False
    return True
