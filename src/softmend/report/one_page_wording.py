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

WHAT_IT_IS = "What it is"
WHAT_WE_FOUND = "What was found"
WHAT_WAS_DONE = "What was done"
WHAT_WE_ASK = "What is asked"
BY_WHEN = "By when"
SIZE = "Size and material"
HOLD = "How it is held"
NO_CONTACT = "No contact, no load"
CUSTODY = "Custody"
LAW = "Law and ethics"
PLACES = "Places"
OBJECT = "The object"
DO, DO_NOT = "Do", "Do not"
TELL = "Tell somebody at once"
UNDO = "What is on it, and how it is undone"
REMOVED = "What was taken off"
NOT_DONE = "Decided, and left undone"
CARE = "Care"
CHECKS = "Checks"
DIARY = "Where the whole record is"

MASS_ELSEWHERE = "on the registrar's copy; weigh it before it is lifted"
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
NO_TOUCH_ALWAYS = (
    "touch, dust or move it; turn it or lift it by anything that projects",
    "set a lamp, a heater or a bottle of water near it",
    "pick up a fallen piece: leave it, guard the place and call",
)
TELL_ALWAYS = "A new crack, a piece that moved or fell, dust like flour below it, damp, an insect."

UNDO_COLUMNS = ("Material", "Where, how much", "How it is undone")
REMOVED_COLUMNS = ("Taken off", "What became of it")
CONTACT_COLUMNS = ("Place", "What is there")
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
