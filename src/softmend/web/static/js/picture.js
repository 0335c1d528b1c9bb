// SPDX-License-Identifier: Apache-2.0
/** The picture itself: OpenSeadragon on Deep Zoom tiles, with our own keys and no buttons of its. */

/**
 * @typedef {import("./contract.js").Page} Page
 * @typedef {import("./geometry.js").Box} Box
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {import("./overlay.js").Matrix} Matrix
 * @typedef {{left: number, top: number, right: number, bottom: number}} Margins
 */

const TILE = 512;
const GESTURES = {
  clickToZoom: false,
  dblClickToZoom: false,
  flickEnabled: false,
  pinchRotate: false,
};

/**
 * Open the picture in an element. The plain canvas drawer: it works on a machine without a usable
 * graphics card, and was not slower where there is one.
 * @param {HTMLElement} element
 * @param {Page} page
 * @param {Margins} margins
 */
export function openPicture(element, page, margins) {
  const size = page.tile_size ?? TILE;
  const longest = Math.max(page.width_px, page.height_px);
  const maxLevel = Math.ceil(Math.log2(longest));
  return OpenSeadragon({
    element,
    drawer: "canvas",
    showNavigationControl: false,
    keyboardNavEnabled: false,
    viewportMargins: margins,
    animationTime: 0.4,
    maxZoomPixelRatio: 8,
    minZoomImageRatio: 0.6,
    visibilityRatio: 0.5,
    clickTimeThreshold: 1500,
    clickDistThreshold: 6,
    gestureSettingsMouse: GESTURES,
    gestureSettingsTouch: GESTURES,
    gestureSettingsPen: GESTURES,
    tileSources: {
      width: page.width_px,
      height: page.height_px,
      tileSize: size,
      tileOverlap: page.tile_overlap ?? 0,
      minLevel: Math.min(maxLevel, Math.ceil(Math.log2(size))),
      maxLevel,
      getTileUrl: (/** @type {number} */ level, /** @type {number} */ col, /** @type {number} */ row) =>
        page.tile_url
          .replace("{level}", String(level))
          .replace("{col}", String(col))
          .replace("{row}", String(row)),
    },
  });
}

/**
 * Return how image pixels lie on the screen now, rotation and flip included.
 * @param {OpenSeadragon.Viewer} viewer
 * @param {Page} page
 * @returns {Matrix}
 */
export function matrixOf(viewer, { width_px: width, height_px: height }) {
  const item = viewer.world.getItemAt(0);
  const [o, x, y] = [
    [0, 0],
    [width, 0],
    [0, height],
  ].map(([u, v]) => item.imageToViewerElementCoordinates(new OpenSeadragon.Point(u, v)));
  return [
    (x.x - o.x) / width,
    (x.y - o.y) / width,
    (y.x - o.x) / height,
    (y.y - o.y) / height,
    o.x,
    o.y,
  ];
}

/**
 * Show a part of the picture with room around it.
 * @param {OpenSeadragon.Viewer} viewer
 * @param {Box} box
 */
export function zoomTo(viewer, { left, top, right, bottom }) {
  const around = Math.max(right - left, bottom - top, 60) * 0.4;
  const rect = viewer.world
    .getItemAt(0)
    .imageToViewportRectangle(
      left - around,
      top - around,
      right - left + 2 * around,
      bottom - top + 2 * around,
    );
  viewer.viewport.fitBoundsWithConstraints(rect);
}

/**
 * Move the picture by screen pixels.
 * @param {OpenSeadragon.Viewer} viewer
 * @param {number} dx
 * @param {number} dy
 */
export function panBy(viewer, dx, dy) {
  const { viewport } = viewer;
  viewport.panBy(viewport.deltaPointsFromPixels(new OpenSeadragon.Point(dx, dy)));
  viewport.applyConstraints();
}

/**
 * @param {OpenSeadragon.Viewer} viewer
 * @param {number} factor
 */
export function zoomBy(viewer, factor) {
  viewer.viewport.zoomBy(factor);
  viewer.viewport.applyConstraints();
}
