"""Every word that the one-page outputs and the receipts say by themselves."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.report.one_page import Page

TITLES: dict[Page, str] = {
    Page.CURATOR: "For the curator",
    Page.MOUNT_MAKER: "For the mount-maker",
    Page.REGISTRAR: "For the registrar",
    Page.FRONT_OF_HOUSE: "For front of house",
    Page.NEXT_CONSERVATOR: "For the next conservator",
    Page.CARE: "Care sheet",
}
TELLS: dict[Page, str] = {
    Page.CURATOR: "what it is, what was found, what is asked, by when",
    Page.MOUNT_MAKER: "size, supports, what must not be touched",
    Page.REGISTRAR: "custody, law, mass, places of object, bags and samples",
    Page.FRONT_OF_HOUSE: "do and do not",
    Page.NEXT_CONSERVATOR: "materials on the object and how each is undone",
    Page.CARE: "lifting, light, humidity, dust, what not to touch, next check",
}

SECTIONS = {
    "what": "What it is",
    "found": "What was found",
    "done": "What was done",
    "ask": "What is asked",
    "when": "By when",
    "size": "Size and material",
    "hold": "How it is held",
    "contacts": "No contact, no load",
    "object": "The object",
    "places": "Places",
    "custody": "Custody",
    "law": "Law and ethics",
    "do_not": "Do not",
    "do": "Do",
    "tell": "Tell somebody at once",
    "undo": "What is on it, and how it is undone",
    "removed": "What was taken off",
    "left": "Decided, and left undone",
    "care": "Care",
    "checks": "Checks",
    "record": "Where the whole record is",
    "receipt": "Receipt of custody",
}

MASS_ELSEWHERE = "on the registrar's copy; weigh it before it is lifted"
MASS_WITH_SCAN = "as computed or weighed, with the scan below; weigh it before it is lifted"
NOT_A_LIFTING_CALCULATION = (
    "This is not a lifting calculation: weigh it; a competent person signs. "
    "Cracks inside that nobody saw void every figure of stress."
)
NOTHING_LOGGED = "No treatment is logged."
NO_MATERIALS = "The log names no material that was put on."
NO_CARE = "No care sheet is recorded. Until there is one: do not lift, move or clean it."
NO_FLAGS = "No legal or ethical question is recorded. That is not the same as none."
FACTS_ONLY = "Facts and dates, not advice and not a verdict."
CLIMATE_LINE = "A band from the past does not vouch for an object whose joins are new."
NO_MARKS = "No mark is recorded; that is not the same as sound all over."
NEVER = (
    "Do not touch, dust, turn or lift it.",
    "Do not set a lamp, a heater or water near it.",
    "Do not pick up a fallen piece: leave it, guard the place and call.",
)
KEEP_OFF = "Above all, keep off:"
REMAINS_NOT_KNOWN = "whether it remains is not known"
TELL_ALWAYS = "A new crack, a piece that moved or fell, dust like flour below it, damp, an insect."

UNDO_COLUMNS = ("Material", "Where, how much", "How it is undone")
REMOVED_COLUMNS = ("Taken off", "What became of it")
SIGNS = "The letters are those of the crack map; the sign behind them says: {}."
CONTACT_COLUMNS = ("Mark", "What is there")
CUSTODY_COLUMNS = ("Receipt", "What, between whom", "Why, and until when")
LAW_COLUMNS = ("Question", "What is known", "Checked")
PLACE_COLUMNS = ("Thing", "Place", "Since")

CARE_FIELDS = {
    "lift_points": "Lift at",
    "handling": "Handling",
    "support": "Held by",
    "no_touch_zones": "Do not touch",
    "light": "Light",
    "rh_band": "Humidity",
    "rh_band_basis": "Basis of the band",
    "temperature": "Temperature",
    "dust": "Dust",
    "moves_with_rh": "Moves with humidity",
    "watch_for": "Watch for",
    "whom_to_tell": "Whom to tell",
}
PASSED_CHECK = "{day}: past when this was printed, and no later one is set"
CHECK_FIELDS = {"next_check_on": "Next check", "later_checks": "Later checks"}

RECEIPT = "Receipt of custody"
RECEIPT_FIELDS = {
    "what": "What",
    "owner": "Owner",
    "from_whom": "Handed over by",
    "to_whom": "Taken by",
    "reason": "Reason",
    "handed_on": "Date",
    "return_on": "To go back",
    "condition_observed": "State, as both saw it",
    "packed_how": "Packed how",
}
SIGNED_BY_BOTH = "Both parties sign below for what is said above; each keeps a copy."
SIGN = {"name": "Name", "date": "Date", "signature": "Signature"}
