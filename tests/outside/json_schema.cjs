// Validates documents with ajv: SCHEMA DOCUMENT..., prints [{valid, errors}].
const fs = require("fs");
const Ajv = require("ajv/dist/2020");

const read = (path) => JSON.parse(fs.readFileSync(path, "utf8"));
const [schema, ...documents] = process.argv.slice(2);
const validate = new Ajv({ allErrors: false, strict: true, allowUnionTypes: true }).compile(read(schema));
const answers = documents.map((path) => {
    const valid = validate(read(path));
    return { valid, errors: valid ? [] : validate.errors };
});
console.log(JSON.stringify(answers));
