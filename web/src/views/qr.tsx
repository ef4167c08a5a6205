// SPDX-License-Identifier: Apache-2.0
// The drawing that the program made of an address. Only its shapes are taken over, element by
// element: the page's policy allows neither foreign markup nor pictures from data.
import { useMemo } from "preact/hooks";

const kept: Record<string, string[]> = {
  path: ["d", "transform", "fill"], rect: ["x", "y", "width", "height", "transform", "fill"], g: ["transform", "fill"],
};
const plain = /^[-\d\w\s.,()#]*$/;

interface Shape {
  name: string;
  attributes: Record<string, string>;
  inside: Shape[];
}

function shapesOf(parent: Element): Shape[] {
  return Array.from(parent.children).flatMap((element) => {
    const name = element.localName;
    const wanted = kept[name];
    if (!wanted) return [];
    const attributes = Object.fromEntries(wanted.flatMap((key) => {
      const value = element.getAttribute(key);
      return value !== null && plain.test(value) ? [[key, value]] : [];
    }));
    return [{ name, attributes, inside: shapesOf(element) }];
  });
}

function drawn({ name, attributes, inside }: Shape) {
  if (name === "path") return <path {...attributes} />;
  if (name === "rect") return <rect {...attributes} />;
  return <g {...attributes}>{inside.map(drawn)}</g>;
}

export function Qr({ svg, label }: { svg: string; label: string }) {
  const read = useMemo(() => {
    const root = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
    if (root.localName !== "svg") return null;
    const box = root.getAttribute("viewBox") ?? `0 0 ${root.getAttribute("width") ?? 0} ${root.getAttribute("height") ?? 0}`;
    return plain.test(box) ? { box, shapes: shapesOf(root) } : null;
  }, [svg]);
  if (!read) return null;
  return <svg class="qr" viewBox={read.box} role="img" aria-label={label} shape-rendering="crispEdges">{read.shapes.map(drawn)}</svg>;
}
