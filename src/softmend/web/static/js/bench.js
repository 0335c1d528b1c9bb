// SPDX-License-Identifier: Apache-2.0
/** What a page with a picture starts. */
import { Viewer } from "./viewer.js";

const element = document.getElementById("viewer");
// Labels are measured before they are placed, so the font comes first.
if (element) document.fonts.load('650 15px "Source Sans 3"').then(() => new Viewer(element));
