// SPDX-License-Identifier: Apache-2.0
/** What every page starts: the dark room's button, and the viewer where there is a picture. */
import { startDim } from "./dim.js";
import { Viewer } from "./viewer.js";

startDim();
const element = document.getElementById("viewer");
// Labels are measured before they are placed, so the font comes first.
if (element) document.fonts.load('650 15px "Source Sans 3"').then(() => new Viewer(element));
