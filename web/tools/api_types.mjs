// SPDX-License-Identifier: Apache-2.0
// Writes src/api/types.ts from the contract, so that page and program cannot disagree unseen.
//   node tools/api_types.mjs          write it
//   node tools/api_types.mjs --check  end with 1 when it is not what the contract says
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { parse } from "yaml";

const web = join(dirname(fileURLToPath(import.meta.url)), "..");
const target = join(web, "src/api/types.ts");

// Beside the page in a build folder, else where the server keeps it.
export function contractPath() {
  const copied = join(web, "api.yaml");
  return existsSync(copied) ? copied : join(web, "../src/server/api.yaml");
}

function typeOf(schema) {
  if (schema.nullable) return `${typeOf({ ...schema, nullable: false })} | null`;
  if (schema.allOf?.length === 1) return typeOf(schema.allOf[0]);
  if (schema.$ref) return schema.$ref.replace("#/components/schemas/", "").replace(/^Error$/, "ApiError");
  if (schema.enum) return schema.enum.map((value) => JSON.stringify(value)).join(" | ");
  if (schema.type === "array") {
    const inner = typeOf(schema.items);
    if (schema.minItems && schema.minItems === schema.maxItems) return `[${Array(schema.minItems).fill(inner).join(", ")}]`;
    return inner.includes("|") ? `(${inner})[]` : `${inner}[]`;
  }
  if (schema.type === "integer") return "number";
  if (["string", "number", "boolean"].includes(schema.type)) return schema.type;
  throw new Error(`api.yaml: no TypeScript for ${JSON.stringify(schema)}`);
}

export function typesOf(contract) {
  let out = "// SPDX-License-Identifier: Apache-2.0\n// Generated from src/server/api.yaml by tools/api_types.mjs.\n";
  for (const [name, schema] of Object.entries(contract.components.schemas)) {
    out += "\n";
    if (schema.description) out += `/** ${schema.description.trim()} */\n`;
    out += `export interface ${name === "Error" ? "ApiError" : name} {\n`;
    for (const [key, value] of Object.entries(schema.properties)) {
      out += `  ${key}${(schema.required ?? []).includes(key) ? "" : "?"}: ${typeOf(value)};\n`;
    }
    out += "}\n";
  }
  return out;
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const wanted = typesOf(parse(readFileSync(contractPath(), "utf8")));
  if (process.argv.includes("--check")) {
    const found = existsSync(target) ? readFileSync(target, "utf8") : "";
    if (found !== wanted) {
      console.error("src/api/types.ts is not what api.yaml says. Run: node tools/api_types.mjs");
      process.exit(1);
    }
  } else {
    writeFileSync(target, wanted);
  }
}
