// Renders Markdown with markdown-it (CommonMark and pipe tables, bare addresses made links): FILE..., prints
// [{html, text, tables: [[cells of a row, ...]], tags}].
const fs = require("fs");
const MarkdownIt = require("markdown-it");

const markdown = new MarkdownIt({ html: true, linkify: true });
const walk = (tokens, visit) => {
    for (const token of tokens) {
        visit(token);
        if (token.children) walk(token.children, visit);
    }
};
const answers = process.argv.slice(2).map((path) => {
    const source = fs.readFileSync(path, "utf8");
    const tables = [];
    const tags = {};
    let text = "";
    walk(markdown.parse(source, {}), (token) => {
        tags[token.type] = (tags[token.type] || 0) + 1;
        if (token.type === "table_open") tables.push([]);
        if (token.type === "tr_open") tables[tables.length - 1].push(0);
        if (token.type === "td_open" || token.type === "th_open") {
            const rows = tables[tables.length - 1];
            rows[rows.length - 1] += 1;
        }
        if (token.type === "text" || token.type === "text_special") text += token.content;
        if (token.type === "softbreak" || token.type.endsWith("_close")) text += " ";
    });
    return { text, tables, tags };
});
console.log(JSON.stringify(answers));
