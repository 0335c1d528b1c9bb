// SPDX-License-Identifier: Apache-2.0
/** Making SVG elements; attributes only, never markup and never a style attribute. */

const NAMESPACE = "http://www.w3.org/2000/svg";

/**
 * Return a new SVG element with these attributes and children.
 * @template {keyof SVGElementTagNameMap} Name
 * @param {Name} name
 * @param {Record<string, string | number>} [attributes]
 * @param {Node[]} children
 * @returns {SVGElementTagNameMap[Name]}
 */
export function svg(name, attributes = {}, ...children) {
  const element = document.createElementNS(NAMESPACE, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, String(value));
  element.append(...children);
  return element;
}
