"""What any call of the API may be refused with, as OpenAPI describes it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

from softmend.web.errors import ErrorBody

_WORDS = {
    401: "this browser or program was not let in",
    403: "not from our own pages, without the header X-Softmend, or nobody is at the bench",
    404: "nothing stands under that name",
    409: "something newer was recorded, or a rule of the house refuses",
    413: "larger than a stated limit",
    422: "a value is wrong",
    507: "the disk is full; nothing was saved",
}


def _described(*statuses: int) -> dict[int | str, dict[str, Any]]:
    return {
        status: {"model": ErrorBody, "description": _WORDS[status].capitalize()}
        for status in statuses
    }


Refusals = _described(401, 403, 404, 409, 413, 422, 507)
