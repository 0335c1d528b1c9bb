// SPDX-License-Identifier: Apache-2.0

/** @typedef {import("./geometry.js").Position} Position */

const SIZE = 160;
const TIMES = 4;
const AWAY = 30;

/** A round magnifier beside the pointer: what a finger covers, and where a click would fall. */
export class Loupe {
  /**
   * @param {HTMLElement} frame
   * @param {() => HTMLCanvasElement | null} picture the drawn picture, in device pixels
   */
  constructor(frame, picture) {
    this.frame = frame;
    this.picture = picture;
    this.canvas = document.createElement("canvas");
    this.canvas.className = "loupe";
    this.canvas.setAttribute("aria-hidden", "true");
    this.canvas.width = SIZE;
    this.canvas.height = SIZE;
    this.canvas.hidden = true;
    frame.append(this.canvas);
  }

  /** @param {Position} at place under the pointer, in screen px of the frame */
  show(at) {
    const picture = this.picture();
    const pen = this.canvas.getContext("2d");
    if (picture === null || pen === null) return;
    this.canvas.hidden = false;
    const device = picture.width / this.frame.clientWidth;
    const side = (SIZE / TIMES) * device;
    pen.imageSmoothingEnabled = false;
    pen.clearRect(0, 0, SIZE, SIZE);
    const [x, y] = [at[0] * device - side / 2, at[1] * device - side / 2];
    pen.drawImage(picture, x, y, side, side, 0, 0, SIZE, SIZE);
    for (const [colour, width] of /** @type {[string, number][]} */ ([
      ["#ffffff", 3],
      ["#14151a", 1],
    ])) {
      pen.strokeStyle = colour;
      pen.lineWidth = width;
      pen.beginPath();
      for (const [from, to] of [
        [0, SIZE / 2 - 8],
        [SIZE / 2 + 8, SIZE],
      ]) {
        pen.moveTo(from, SIZE / 2);
        pen.lineTo(to, SIZE / 2);
        pen.moveTo(SIZE / 2, from);
        pen.lineTo(SIZE / 2, to);
      }
      pen.stroke();
    }
    this.place(at);
  }

  /** Beside the pointer: above and right of it where there is room. @param {Position} at */
  place([x, y]) {
    const isRoomRight = x + AWAY + SIZE < this.frame.clientWidth;
    const isRoomAbove = y - AWAY - SIZE > 0;
    this.canvas.style.left = `${isRoomRight ? x + AWAY : x - AWAY - SIZE}px`;
    this.canvas.style.top = `${isRoomAbove ? y - AWAY - SIZE : y + AWAY}px`;
  }

  hide() {
    this.canvas.hidden = true;
  }
}
