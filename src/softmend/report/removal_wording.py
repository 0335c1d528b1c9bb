"""Every word that prints about taking old work off say by themselves."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

RECORD_TITLE = "Record of spot tests"
CARD_TITLE = "Bench card: the air over the work"
SECTIONS = {
    "patches": "The patches on the photographs",
    "spot_tests": "Spot tests, failures too",
    "removal_ways": "How old work comes off, or is left",
    "takes_it_off": "What will take it off",
    "air": "The air over the work",
    "at_the_bench": "At the bench today",
    "workings": "Workings",
}
TEST_COLUMNS = ("Test", "With what, and how", "What it did", "What was seen")
STRETCH_COLUMNS = ("Stretch", "Where", "Photograph after it")
AGENT_COLUMNS = ("Agent", "Dissolves it", "Layers to be kept", "Air a mL needs")
AIR_COLUMNS = ("Vapour", "Near the head", "Of the limit")
KEPT = "Every test stands here, whatever came of it; none is a treatment."
LOCKS = "Locks that a person opened, and restricted solvents turned on"
NOT_SAFE = "No solvent here is proven harmless to ivory, bone, antler, horn or wood."
GUIDE = "A guide to what to test next, not a treatment."
OWED = "Still owed before the first stretch"
REFUSED = "Refused, although its chance is the highest"
CHART_ONLY = (
    "A chart of fractions ranks nothing and knows nothing of the object; it stands here and on no "
    "page."
)
NO_PATCHES = "No grid of patches is drawn."
NO_PICTURE = "The photograph was not handed to this print."
CARD_BLANKS = ("Date, who", "Extraction on, checked", "Gloves, changed at", "Waste bin closed")
CARD_NAMES = {
    "gloves": "Gloves",
    "lamps": "Lamps, hot air, sparks",
    "waste": "Swabs and waste",
    "Breakthrough": "Breakthrough (maker)",
}
"""What a long question is called on the card, by a word in it."""
SHEET_COLUMNS = (
    "Patch",
    "Agent, carrier, bottle",
    "Coating; the object apart (not “none”: stop)",
    "Dwell s, rolls",
    "Swab, tack",
)
SHEET_NOTE = "Spot tests"
MARKS = "Marks of the numbers used: {marks}. Recalled was not read again; estimated has no source."
