// A sheet before it is laid out: titles, facts, lists and tables of finished texts. The terminal's
// sheet and the Markdown are two layouts of the same page, so they cannot say different things.
#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "emit/document.h"

namespace scruple {
struct SheetOptions;
}

namespace scruple::emit {

enum class Align : std::uint8_t { left, right };

struct Column {
    std::string head;
    Align align = Align::right;
    bool flexible = false;  // may be broken over lines where the page is too narrow
};

struct TableRow {
    enum class Kind : std::uint8_t {
        line,
        heading,  // one text across all columns
        total,    // set off from the lines above
    };
    Kind kind = Kind::line;
    std::vector<std::string> cells;  // a heading has one
};

struct Table {
    std::vector<Column> columns;
    std::vector<TableRow> rows;

    void line(std::vector<std::string> cells) {
        rows.push_back({TableRow::Kind::line, std::move(cells)});
    }
    void heading(std::string text) { rows.push_back({TableRow::Kind::heading, {std::move(text)}}); }
    void total(std::vector<std::string> cells) {
        rows.push_back({TableRow::Kind::total, std::move(cells)});
    }
};

/// How a text is meant. Colour only repeats what the words say.
enum class Tone : std::uint8_t { plain, good, warning, bad };

struct Block {
    enum class Kind : std::uint8_t { heading, paragraph, facts, items, numbered, table };
    Kind kind = Kind::paragraph;
    Tone tone = Tone::plain;
    std::string text;  // heading, paragraph
    std::vector<std::pair<std::string, std::string>>
        facts;                       // an empty label goes on under the one above
    std::vector<std::string> items;  // items, numbered
    Table table;
};

struct Page {
    std::string title;
    std::string id;
    std::string doc;  // as written, lines kept
    std::vector<Block> blocks;

    void heading(std::string text) {
        blocks.push_back({Block::Kind::heading, Tone::plain, std::move(text), {}, {}, {}});
    }
    void paragraph(std::string text, Tone tone = Tone::plain) {
        blocks.push_back({Block::Kind::paragraph, tone, std::move(text), {}, {}, {}});
    }
    void facts(std::vector<std::pair<std::string, std::string>> facts) {
        if (!facts.empty())
            blocks.push_back({Block::Kind::facts, Tone::plain, {}, std::move(facts), {}, {}});
    }
    void items(std::vector<std::string> items, Tone tone = Tone::plain) {
        if (!items.empty())
            blocks.push_back({Block::Kind::items, tone, {}, {}, std::move(items), {}});
    }
    void numbered(std::vector<std::string> items) {
        if (!items.empty())
            blocks.push_back({Block::Kind::numbered, Tone::plain, {}, {}, std::move(items), {}});
    }
    void table(Table table) {
        blocks.push_back({Block::Kind::table, Tone::plain, {}, {}, {}, std::move(table)});
    }
};

/// The page in plain text, for the terminal or a printer.
std::string page_text(const Page& page, const SheetOptions& options);

Page bench_page(const Document& document, BenchId bench);
Page blend_page(const Document& document, BlendId blend);
Page product_page(const Document& document, ProductId product);

/// Says at the top, before anybody weighs, that a product fails, warns or cannot be judged; nothing
/// if it passes.
void add_alarm(Page& page, const Document& document, ProductId product);

/// The part of a product's page that says what is safe and what is not known.
void add_safety(Page& page, const Document& document, ProductId product);

/// The allergens to name on a product's label; nothing where labels were not asked for.
void add_label(Page& page, const Document& document, ProductId product);

/// So much of a blend in grams, millilitres and drops, each oil through its own density and dropper.
void add_measures(Page& page, const Document& document, BlendId blend);
/// What a blend costs by the gram, oil by oil, and in each of the products that it goes into; nothing without prices.
void add_blend_cost(Page& page, const Document& document, BlendId blend);
/// What a batch and each unit cost, line by line; nothing where nobody asks.
void add_cost(Page& page, const Document& document, ProductId product);

/// What the figures take as given, with its sources.
void add_assumptions(Page& page, const std::vector<Assumption>& assumptions);

/// Whom the product is for, as the facts at the top of its page say it; nothing where that was not asked for.
void add_audience(std::vector<std::pair<std::string, std::string>>& facts, const Document& document, ProductId product);
/// The usual dilution: the second ceiling, beside the one that rules give.
void add_usual(std::vector<std::pair<std::string, std::string>>& facts, const Document& document, ProductId product);
/// The cautions about what is in the product, most serious first and merged.
void add_personal_cautions(Page& page, const Document& document, ProductId product);
/// What is to be said of threatened plants in it, one line; empty where there is nothing.
std::string conservation_text(const Model& model, const Formula& formula);

/// The cautions that every sheet carries, and the closing line.
void add_cautions(Page& page, const Document& document, const Product* product, ProductId id = kNone);

}  // namespace scruple::emit
