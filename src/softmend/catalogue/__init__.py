"""The computations: name, input model, output model, function, source, cautions."""
# SPDX-License-Identifier: Apache-2.0
