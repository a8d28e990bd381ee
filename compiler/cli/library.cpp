#include <fmt/core.h>

#include <algorithm>
#include <optional>

#include "base/function_ref.h"
#include "base/text.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/library_search.h"
#include "cli/terminal.h"
#include "emit/emit.h"
#include "emit/library.h"
#include "emit/words.h"
#include "num/decimal.h"
#include "sema/elaborate.h"
#include "sema/names.h"

namespace scruple {
namespace {

using Words = std::vector<std::string>;

/// One look into the library: its records are read when it is made.
class Library {
public:
    explicit Library(const LibraryOptions& options)
        : model_(elaborate_library(sources_, ResourceLimits{}, bag_)), catalogue_{&model_, &details_}, options_(options) {
        sheet_.color = wants_color(options.common.color, Stream::out);
        sheet_.width = std::min<std::size_t>(terminal_width(Stream::out), 80);
    }

    int overview();
    int look(const Words& words);
    int show_for(std::string_view format);
    int show_doubts(FileSystem& files);
    int export_all(FileSystem& files);

private:
    int print(const emit::Page& page) const { return write_out(emit::page_text(page, sheet_)) ? kClean : kIoFailed; }
    int write_files(FileSystem& files, const std::vector<std::pair<std::string, std::string>>& texts) const;
    std::string card(const ShelfEntry& e) const;
    std::optional<int> contains(const Words& words);
    std::optional<int> limits(const Words& words);
    /// Whether a material, or else a base, passes the further words.
    using Kept = FunctionRef<bool(bool material, std::uint32_t record)>;
    emit::Table holders(SubstanceId substance, Kept kept) const;
    emit::Table bases_with(MaterialId material, Kept kept) const;
    int list(const Words& words);
    int nothing(const Words& words);
    /// What the longest beginning of `words` from `from` on names, of these shelves and in their order; `end` is behind it.
    std::vector<const ShelfEntry*> resolve(const Words& words, std::size_t from, std::initializer_list<Shelf> shelves,
                                           std::size_t& end) const;
    const LibrarySearch& search() {
        if (!search_) search_.emplace(catalogue_);
        return *search_;
    }

    SourceMap sources_;
    Bag bag_;
    Model model_;
    Details details_;
    Catalogue catalogue_;
    const LibraryOptions& options_;
    SheetOptions sheet_;
    std::optional<LibrarySearch> search_;
};

std::string Library::card(const ShelfEntry& e) const {
    const auto page = [&]() -> emit::Page {
        switch (e.shelf) {
            case Shelf::oil:
            case Shelf::ingredient: return emit::material_card(catalogue_, e.record);
            case Shelf::substance:
            case Shelf::group: return emit::substance_card(catalogue_, e.record);
            case Shelf::format: return emit::format_card(catalogue_, e.record);
            case Shelf::base: return emit::base_card(catalogue_, e.record);
            case Shelf::rules: return emit::rules_card(catalogue_, e.record);
            case Shelf::category: return emit::category_card(catalogue_, e.record);
            case Shelf::caution: return emit::caution_card(catalogue_, model_.cautions[e.record]);
            case Shelf::guide: return emit::guide_card(catalogue_, model_.guides[e.record]);
            case Shelf::audience: return emit::audience_card(catalogue_, e.record);
            case Shelf::unit: return emit::unit_card(details_.all()[e.record]);
            case Shelf::source: return emit::source_card(catalogue_, model_.sources[e.record]);
            case Shelf::limit: break;
        }
        return {};
    };
    return emit::page_text(page(), sheet_);
}

std::vector<const ShelfEntry*> Library::resolve(const Words& words, std::size_t from, std::initializer_list<Shelf> shelves,
                                                std::size_t& end) const {
    // No name has more words than this.
    for (std::size_t n = std::min<std::size_t>(words.size() - from, 8); n > 0; --n) {
        std::string text;
        for (std::size_t i = from; i < from + n; ++i) text += (text.empty() ? "" : " ") + words[i];
        const auto named = search_->named(text);
        std::vector<const ShelfEntry*> out;
        for (const Shelf shelf : shelves) {
            for (const ShelfEntry* e : named) {
                if (e->shelf == shelf) out.push_back(e);
            }
        }
        end = from + n;
        if (!out.empty()) return out;
    }
    return {};
}

/// `contains NAME`, `what contains NAME`: who holds most comes first.
std::optional<int> Library::contains(const Words& words) {
    const auto at = std::find_if(words.begin(), words.end(), [](const std::string& w) {
        return w == "contain" || w == "contains" || w == "containing";
    });
    if (at == words.end()) return std::nullopt;
    const auto from = static_cast<std::size_t>(at - words.begin()) + 1;
    if (from == words.size()) {
        say("scruple: contains what? the name of a substance is wanted after it\n");
        return kWrongUse;
    }
    std::size_t end = 0;
    search();
    const auto asked_for = resolve(words, from, {Shelf::substance, Shelf::group, Shelf::oil, Shelf::ingredient}, end);
    const ShelfEntry* of = asked_for.empty() ? nullptr : asked_for.front();
    if (!of) {
        Words names;
        for (const auto& e : search_->entries()) {
            if (e.shelf == Shelf::substance || e.shelf == Shelf::group || e.shelf == Shelf::ingredient) names.push_back(e.name);
        }
        std::string asked;
        for (std::size_t i = from; i < words.size(); ++i) asked += (asked.empty() ? "" : "_") + words[i];
        const auto near = asked.size() > 80 ? std::string() : nearest(asked, names);
        say(fmt::format("scruple: no substance or ingredient is called `{}`{}\n", asked,
                        near.empty() ? "; `scruple library substances` lists them" : fmt::format("; did you mean `{}`?", near)));
        return kWrongUse;
    }
    Words filters(words.begin(), words.begin() + static_cast<std::ptrdiff_t>(from) - 1);
    filters.insert(filters.end(), words.begin() + static_cast<std::ptrdiff_t>(end), words.end());
    const auto passes = filters.empty() ? std::vector<Found>{} : search_->find(filters);
    const auto kept = [&](bool material, std::uint32_t record) {
        return filters.empty() || std::any_of(passes.begin(), passes.end(), [&](const Found& f) {
            const bool is = f.entry->shelf == Shelf::oil || f.entry->shelf == Shelf::ingredient;
            return is == material && (material || f.entry->shelf == Shelf::base) && f.entry->record == record;
        });
    };
    emit::Page page;
    page.title = "What contains " + emit::plain(of->title);
    page.id = of->name;
    if (!filters.empty()) page.paragraph("Only of what `" + emit::joined(filters, " ") + "` finds.");
    for (const ShelfEntry* e : asked_for) {
        const bool substance = e->shelf == Shelf::substance || e->shelf == Shelf::group;
        // A solvent may be a substance of oils and an ingredient of bases.
        if (asked_for.size() > 1) page.heading(substance ? "The substance" : "The " + std::string(shelf_word(e->shelf, false)));
        auto table = substance ? holders(e->record, kept) : bases_with(e->record, kept);
        if (table.rows.empty()) {
            page.paragraph(substance ? "No composition here lists it. That doesn't say that no oil holds it."
                                     : "No base here holds it.");
            continue;
        }
        if (substance) {
            page.paragraph(fmt::format("{}, by typical share. What is not listed may hold it all the same: compositions here "
                                       "are not whole.",
                                       emit::count_text(static_cast<std::int64_t>(table.rows.size()), "material", "materials")));
        }
        page.table(std::move(table));
    }
    return print(page);
}

emit::Table Library::holders(SubstanceId substance, Kept kept) const {
    std::vector<std::pair<const Constituent*, const Material*>> rows;
    for (const auto id : by_name(model_.materials)) {
        if (!kept(true, id)) continue;
        for (const auto& part : model_.materials[id].contains) {
            if (part.substance == substance) rows.emplace_back(&part, &model_.materials[id]);
        }
    }
    std::stable_sort(rows.begin(), rows.end(), [](const auto& a, const auto& b) {
        return emit::share_rank(a.first->fraction) > emit::share_rank(b.first->fraction);
    });
    emit::Table table;
    table.columns = {{"", emit::Align::left, false}, {"", emit::Align::left, true},
                     {"per cent by weight", emit::Align::right, false}, {"standing", emit::Align::left, false}};
    for (const auto& [part, material] : rows) {
        table.line({std::string(material->header.name), emit::plain(material->header.title), emit::share_text(part->fraction),
                    is_stated(*part) ? std::string(standing_word(model_.standing(part->source))) : "summed"});
    }
    return table;
}

emit::Table Library::bases_with(MaterialId material, Kept kept) const {
    emit::Table table;
    table.columns = {{"", emit::Align::left, false}, {"", emit::Align::left, true}, {"per cent", emit::Align::right, false},
                     {"by weight", emit::Align::left, false}};
    for (const auto id : by_name(model_.bases)) {
        if (!kept(false, id)) continue;
        const Base& b = model_.bases[id];
        for (const auto& phase : b.phases) {
            for (const auto& row : phase.rows) {
                if (row.material != material) continue;
                table.line({std::string(b.header.name), emit::plain(b.header.title),
                            row.rest ? "rest" : format_exact(row.fraction * Rational(100)),
                            row.rest ? "" : row.of == Of::total ? "of the whole" : "of the base"});
            }
        }
    }
    return table;
}

/// `limit NAME`, `limits on NAME`: the limits on it, of every rule set.
std::optional<int> Library::limits(const Words& words) {
    const auto at = std::find_if(words.begin(), words.end(), [](const std::string& w) { return w == "limit" || w == "limits"; });
    if (at == words.end()) return std::nullopt;
    auto from = static_cast<std::size_t>(at - words.begin()) + 1;
    while (from < words.size() && (words[from] == "on" || words[from] == "of" || words[from] == "for")) ++from;
    if (from >= words.size()) return std::nullopt;
    std::size_t end = 0;
    search();
    // A solvent may be a material and a substance of one name: the limits on both count.
    const auto asked_for = resolve(words, from, {Shelf::oil, Shelf::ingredient, Shelf::substance, Shelf::group}, end);
    if (asked_for.empty()) return std::nullopt;
    std::vector<std::pair<std::string, std::vector<std::uint32_t>>> parts;
    std::string held;
    const auto of_substance = [&](SubstanceId s) {
        return s < model_.substance_limits.size() ? model_.substance_limits[s] : std::vector<std::uint32_t>{};
    };
    for (const ShelfEntry* e : asked_for) {
        if (e->shelf == Shelf::substance || e->shelf == Shelf::group) {
            parts.emplace_back("On the " + std::string(shelf_word(e->shelf, false)), of_substance(e->record));
            for (const auto g : model_.substances[e->record].groups) {
                parts.emplace_back("On " + model_.substances[g].header.title + ", towards which it counts", of_substance(g));
            }
            continue;
        }
        const auto& all = model_.material_limits;
        parts.emplace_back("On the material itself", e->record < all.size() ? all[e->record] : std::vector<std::uint32_t>{});
        for (const auto& part : model_.materials[e->record].contains) {
            if (of_substance(part.substance).empty()) continue;
            held += (held.empty() ? "" : ", ") + std::string(model_.substances[part.substance].header.name);
        }
    }
    // More words choose among them: a rule set, an effect, a standing.
    const Words filters(words.begin() + static_cast<std::ptrdiff_t>(end), words.end());
    const auto kept = [&](std::uint32_t index) {
        for (const auto& e : search_->entries()) {
            if (e.shelf != Shelf::limit || e.record != index) continue;
            std::string text = e.folded;
            for (const auto& f : e.facets) text += f.folded;
            return std::all_of(filters.begin(), filters.end(),
                               [&](const std::string& w) { return text.find(folded(w)) != std::string::npos; });
        }
        return filters.empty();
    };
    emit::Page page;
    page.title = "Limits on " + emit::plain(asked_for.front()->title);
    page.id = asked_for.front()->name;
    page.paragraph("By weight of the finished product, of every rule set here; a workshop may choose fewer.");
    bool any = false;
    std::size_t all = 0;
    for (auto& [title, limits] : parts) {
        all += limits.size();
        std::erase_if(limits, [&](std::uint32_t i) { return !kept(i); });
        if (limits.empty()) continue;
        any = true;
        page.heading(title);
        page.table(emit::limits_table(catalogue_, limits));
    }
    if (!any && all > 0) {
        page.paragraph(fmt::format("None with `{}`; without that {}.", emit::joined(filters, " "),
                                   all == 1 ? "there is one" : fmt::format("there are {}", all)));
    } else if (!any) {
        page.paragraph("None is known here. That doesn't say that none exists.");
    }
    if (!held.empty()) page.paragraph("It holds what has limits of its own: " + held + ".");
    return print(page);
}

int Library::list(const Words& words) {
    auto hits = search().find(words);
    if (hits.empty()) return nothing(words);
    std::string out;
    for (std::size_t i = 0; i < kShelfCount; ++i) {
        const auto shelf = static_cast<Shelf>(i);
        emit::Table table;
        table.columns = {{"", emit::Align::left, false}, {"", emit::Align::left, true}, {"", emit::Align::left, true}};
        for (const auto& f : hits) {
            if (f.entry->shelf == shelf) table.line({f.entry->name, emit::plain(f.entry->title), emit::plain(f.why)});
        }
        if (table.rows.empty()) continue;
        out += fmt::format("{}{} ({})\n", out.empty() ? "" : "\n", shelf_word(shelf, true), table.rows.size());
        for (const auto& line : emit::layout(table, 2, sheet_.width)) out += line + "\n";
    }
    if (hits.size() == 1 && hits[0].entry->shelf != Shelf::limit) {
        out += fmt::format("\n`scruple library {}` tells all about it.\n", hits[0].entry->name);
    }
    return write_out(out) ? kClean : kIoFailed;
}

int Library::nothing(const Words& words) {
    std::string asked;
    for (const auto& w : words) asked += (asked.empty() ? "" : " ") + w;
    std::string out = fmt::format("scruple: the library has nothing for `{}`\n", asked);
    for (const auto& w : words) {
        const auto alone = search().find({w});
        if (!alone.empty()) {
            if (words.size() > 1) out += fmt::format("  `{}` alone finds {}\n", w, alone.size());
            continue;
        }
        const auto near = w.size() > 80 ? std::string() : search().near(ascii_lower(w));
        out += near.empty() ? fmt::format("  nothing is like `{}`\n", w) : fmt::format("  `{}`: did you mean `{}`?\n", w, near);
    }
    out += "Words that it can be searched for, several at once:\n";
    const auto row = [&](std::string_view label, std::string_view text) {
        bool first = true;
        for (const auto& line : wrap(text, 66)) {
            out += fmt::format("  {} {}\n", pad_right(first ? label : "", 10), line);
            first = false;
        }
    };
    std::string kinds;
    for (std::size_t i = 0; i < kShelfCount; ++i) kinds += (i ? ", " : "") + std::string(shelf_word(static_cast<Shelf>(i), true));
    row("kinds", kinds);
    row("names", "a name, a synonym, a plant, an INCI name, a CAS number");
    for (const auto label : {"note", "odour", "mood", "price", "role"}) row(label, emit::joined(search().values(label)));
    row("questions", "contains and a substance; limit and a substance or an oil");
    say(out);
    return kWrongUse;
}

int Library::overview() {
    std::string out = "The library holds:\n\n";
    for (std::size_t i = 0; i < kShelfCount; ++i) {
        const auto shelf = static_cast<Shelf>(i);
        const auto n = std::count_if(search().entries().begin(), search().entries().end(),
                                     [&](const ShelfEntry& e) { return e.shelf == shelf; });
        out += fmt::format("  {:5}  {}\n", n, shelf_word(shelf, n != 1));
    }
    out += "\nLook into it with plain words; where there are several, all must hit:\n\n"
           "  scruple library NAME               all about one thing\n"
           "  scruple library calming base       by mood, note, odour, kind, price, plant …\n"
           "  scruple library citrus top cheap\n"
           "  scruple library contains NAME      what holds it, and how much of it\n"
           "  scruple library limit NAME         the limits on it\n"
           "  scruple library units              everything of a kind\n"
           "  scruple library --doubts           what rests on memory or on working out\n"
           "  scruple library --to json          all of it, for machines\n"
           "\n"
           "Every figure carries its source and how sure it is. Nothing here is an approval;\n"
           "the supplier's own documents come first.\n";
    return write_out(out) ? kClean : kIoFailed;
}

int Library::look(const Words& given) {
    Words words;
    for (const auto& w : given) {
        // One word in quotes may be several.
        std::string_view rest = w;
        while (!rest.empty()) {
            const auto end = std::min(rest.find(' '), rest.size());
            if (end > 0) words.push_back(ascii_lower(rest.substr(0, end)));
            rest.remove_prefix(std::min(rest.size(), end + 1));
        }
    }
    if (words.size() > 1) {
        static constexpr std::string_view kSmall[] = {"what", "which", "the", "all", "a", "an", "that", "with", "and", "is", "are"};
        auto kept = words;
        std::erase_if(kept, [](const std::string& w) { return std::find(std::begin(kSmall), std::end(kSmall), w) != std::end(kSmall); });
        if (!kept.empty()) words = std::move(kept);
    }
    std::string whole;
    for (const auto& w : words) whole += (whole.empty() ? "" : " ") + w;
    bool kind = false;
    for (std::size_t i = 0; i < kShelfCount; ++i) {
        const auto shelf = static_cast<Shelf>(i);
        kind = kind || whole == shelf_word(shelf, false) || whole == shelf_word(shelf, true);
    }
    if (!kind && !whole.empty()) {
        std::string out;
        for (const ShelfEntry* e : search().named(whole)) out += (out.empty() ? "" : "\n\n") + card(*e);
        if (!out.empty()) return write_out(out) ? kClean : kIoFailed;
    }
    if (const auto status = contains(words)) return *status;
    if (const auto status = limits(words)) return *status;
    return list(words);
}

/// Of what the words find, how much a format takes of each.
int Library::show_for(std::string_view name) {
    const auto format = std::find_if(model_.formats.begin(), model_.formats.end(), [&](const Format& f) { return f.header.name == name; });
    if (format == model_.formats.end()) {
        Words names;
        for (const auto& f : model_.formats) names.emplace_back(f.header.name);
        const auto near = name.size() > 80 ? std::string() : nearest(name, names);
        say(fmt::format("scruple: no format is called `{}`{}\n", name,
                        near.empty() ? "; `scruple library formats` lists them" : fmt::format("; did you mean `{}`?", near)));
        return kWrongUse;
    }
    Words words;
    for (const auto& w : options_.words) words.push_back(ascii_lower(w));
    if (words.empty()) words.emplace_back("oils");
    std::vector<std::pair<const ShelfEntry*, emit::FormatBound>> found;
    const LimitTable limits(model_);
    for (const auto& f : search().find(words)) {
        if (f.entry->shelf != Shelf::oil && f.entry->shelf != Shelf::ingredient) continue;
        found.emplace_back(f.entry, emit::format_bound(model_, limits, *format, f.entry->record));
    }
    if (found.empty()) {
        const bool other = !search().find(words).empty();
        if (!other) return nothing(words);
        say(fmt::format("scruple: `{}` finds no oil and no ingredient, and `--for` is about those\n", emit::joined(words, " ")));
        return kWrongUse;
    }
    std::stable_sort(found.begin(), found.end(), [](const auto& a, const auto& b) {
        return a.second.unknown.empty() != b.second.unknown.empty() ? a.second.unknown.empty() : a.second.order > b.second.order;
    });
    emit::Page page;
    page.title = "In " + emit::plain(format->header.title);
    page.id = format->header.name;
    page.paragraph(fmt::format("The most of each in the finished product, by weight, if nothing else brings the same ({}). At most: by "
                               "published limits at typical composition. Careful: at the tops of its ranges, and by derived figures. "
                               "Of all rule sets of the library. A product is judged by all that is in it.",
                               emit::contact_text(format->contact)));
    emit::Table table;
    table.columns = {{"", emit::Align::left, true}, {"at most", emit::Align::right, false}, {"careful", emit::Align::right, false},
                     {"careful because of", emit::Align::left, true}};
    bool open = false, divided = false;
    for (const auto& [entry, bound] : found) {
        if (!bound.unknown.empty() && !divided) {
            divided = true;
            table.heading("not all is known of these there: what stands is a bound by what is known, and not that it is safe");
        }
        open = open || !bound.unknown.empty();
        const std::string mark = bound.unknown.empty() ? "" : "?";
        std::string because = bound.because;
        if (!bound.unknown.empty()) because += (because.empty() ? "not known: " : "; not known: ") + emit::list_text(bound.unknown);
        table.line({entry->name, bound.at_most + mark, bound.careful + mark, because});
    }
    page.table(std::move(table));
    if (format->contact != Contact::none) page.paragraph("Undiluted on skin is refused, whatever the limits say.");
    page.paragraph("No limit: none that is known here. That doesn't say that none exists, and nothing here is an approval.");
    return print(page);
}

int Library::write_files(FileSystem& files, const std::vector<std::pair<std::string, std::string>>& texts) const {
    if (const auto made = files.make_folders(options_.out); made.error != IoError::none) {
        say(fmt::format("scruple: cannot make the folder {}: {}\n", options_.out, describe(made.error)));
        return kIoFailed;
    }
    for (const auto& [name, text] : texts) {
        const auto path = path_join(options_.out, name);
        const auto written = files.write_atomically(path, text);
        if (written.error != IoError::none) {
            say(fmt::format("scruple: cannot write {}: {}\n", path, written.detail.empty() ? describe(written.error) : written.detail));
            return kIoFailed;
        }
    }
    const auto n = texts.size();
    return write_out(plain_text(fmt::format("wrote {} {} to {}\n", n, n == 1 ? "file" : "files", options_.out))) ? kClean : kIoFailed;
}

int Library::show_doubts(FileSystem& files) {
    auto all = doubts(catalogue_);
    for (const auto& w : options_.words) {
        const auto word = folded(w);
        std::erase_if(all, [&](const Doubt& d) {
            const auto text = folded(doubt_word(d.kind)) + folded(d.subject_kind) + folded(d.subject) + folded(d.about) +
                              folded(d.figure) + folded(d.standing) + folded(d.cite) + folded(d.source);
            return text.find(word) == std::string::npos;
        });
    }
    if (options_.to.empty()) {
        const auto page = emit::doubts_page(all);
        SheetOptions plain = sheet_;
        plain.color = plain.color && options_.out.empty();
        const auto text = emit::page_text(page, plain);
        if (!options_.out.empty()) return write_files(files, {{"doubts.txt", text}});
        return write_out(text) ? kClean : kIoFailed;
    }
    auto text = options_.to == "json" ? emit::doubts_json(all) : emit::doubts_csv(all);
    if (!options_.out.empty()) return write_files(files, {{"doubts." + options_.to, std::move(text)}});
    return write_out(text) ? kClean : kIoFailed;
}

int Library::export_all(FileSystem& files) {
    const auto tables = emit::library_tables();
    if (options_.to == "json") {
        if (!options_.words.empty()) {
            say("scruple: `--to json` gives all of the library and takes no words; `--to csv` takes the name of a table\n");
            return kWrongUse;
        }
        if (options_.out.empty()) {
            bool good = true;
            emit::library_json(catalogue_, [&](std::string_view piece) { good = good && write_out(piece); });
            return good ? kClean : kIoFailed;
        }
        std::string text;
        emit::library_json(catalogue_, [&](std::string_view piece) { text += piece; });
        return write_files(files, {{"library.json", std::move(text)}});
    }
    std::string names;
    for (const auto table : tables) names += (names.empty() ? "" : ", ") + std::string(table);
    std::vector<std::string_view> wanted;
    for (const auto& w : options_.words) {
        const auto at = std::find(tables.begin(), tables.end(), w);
        if (at == tables.end()) {
            const auto near = nearest(w.substr(0, 80), Words(tables.begin(), tables.end()));
            say(fmt::format("scruple: no table is called `{}`{}\n", w,
                            near.empty() ? "; there are " + names : fmt::format("; did you mean `{}`?", near)));
            return kWrongUse;
        }
        wanted.push_back(*at);
    }
    if (options_.out.empty()) {
        if (wanted.size() != 1) {
            std::string text = "scruple: one table at a time goes to the screen, as `scruple library --to csv oils`;\n"
                               "`--out DIR` writes a file for each:\n";
            for (const auto& line : wrap(names, 76)) text += "  " + line + "\n";
            say(text);
            return kWrongUse;
        }
        return write_out(emit::library_csv(catalogue_, wanted[0])) ? kClean : kIoFailed;
    }
    if (wanted.empty()) wanted.assign(tables.begin(), tables.end());
    std::vector<std::pair<std::string, std::string>> texts;
    for (const auto table : wanted) texts.emplace_back(std::string(table) + ".csv", emit::library_csv(catalogue_, table));
    return write_files(files, texts);
}

}  // namespace

int run_library(FileSystem& files, const LibraryOptions& options) {
    if (!options.out.empty() && options.to.empty() && !options.doubts) {
        say("scruple: `--out` needs to know what to write: `--to json`, `--to csv` or `--doubts`\n");
        return kWrongUse;
    }
    if (!options.format.empty() && (options.doubts || !options.to.empty())) {
        say("scruple: `--for` goes with words, not with `--doubts` or `--to`\n");
        return kWrongUse;
    }
    Library library(options);
    if (!options.format.empty()) return library.show_for(options.format);
    if (options.doubts) return library.show_doubts(files);
    if (!options.to.empty()) return library.export_all(files);
    return options.words.empty() ? library.overview() : library.look(options.words);
}

}  // namespace scruple
