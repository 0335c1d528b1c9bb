"""Why old work fails and what the object does next: bindings, runs and what they say."""
# SPDX-License-Identifier: Apache-2.0
