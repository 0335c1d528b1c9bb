"""How long it will take: estimates, rates learned from the log, and the weeks until the end.

Work is counted in bench hours [h] and waiting in calendar days [d]: a day at the bench is not 24
hours, so neither is put into seconds. No function here takes or gives a person.
"""
# SPDX-License-Identifier: Apache-2.0
