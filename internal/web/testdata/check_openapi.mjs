// Validates a description of an interface against OpenAPI 3.1, and answers
// against the schemas that it promises. Prints what is wrong, or nothing.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const require = createRequire(new URL("../../../e2e/package.json", import.meta.url));
const load = async (name) => {
  try {
    return await import(require.resolve(name));
  } catch (error) {
    console.error("MODULE_NOT_FOUND", error.message);
    process.exit(1);
  }
};
const { Validator } = await load("@seriousme/openapi-schema-validator");
const Ajv = (await load("ajv/dist/2020.js")).default;
const formats = (await load("ajv-formats")).default;

const description = JSON.parse(readFileSync(process.argv[2], "utf8"));
const validator = new Validator();
const result = await validator.validate(description);
if (!result.valid) console.log("description", JSON.stringify(result.errors).slice(0, 2000));
if (validator.version !== "3.1") console.log("version", validator.version);

const ajv = new (Ajv.default ?? Ajv)({ strict: false, allErrors: true });
(formats.default ?? formats)(ajv);
ajv.addSchema(description, "api");
for (const { operation, path, status, body } of JSON.parse(readFileSync(process.argv[3], "utf8"))) {
  const [method, at] = operation.split(" ");
  const answers = description.paths[at][method.toLowerCase()].responses;
  if (!answers[status]) {
    console.log(operation, path, "answers", status, "which is not described");
    continue;
  }
  const media = Object.keys(answers[status].content)[0];
  const pointer = ["paths", at, method.toLowerCase(), "responses", String(status), "content", media, "schema"]
    .map((part) => encodeURIComponent(part.replaceAll("~", "~0").replaceAll("/", "~1"))).join("/");
  const check = ajv.compile({ $ref: `api#/${pointer}` });
  if (!check(body)) console.log(operation, path, status, JSON.stringify(check.errors).slice(0, 600));
}
