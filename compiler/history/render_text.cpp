#include <fmt/core.h>

#include "emit/table.h"
#include "emit/words.h"
#include "history/history.h"

namespace scruple::history {
namespace {

constexpr std::size_t kShortId = 9;      // of a commit's id
constexpr std::size_t kMostChanges = 6;  // said of one version
constexpr std::size_t kMostProducts = 6;
constexpr std::string_view kBoldOn = "\x1b[1m", kRedOn = "\x1b[31m", kOff = "\x1b[0m";

class Page {
public:
    explicit Page(const HistoryLook& look) : look_(look) {}

    void line(std::string_view text, std::string_view color = {}) {
        std::string_view first = "";
        for (const std::string& folded : emit::fold(emit::plain(text), look_.width)) {
            out_ += first;
            paint(folded, color);
            first = "  ";
        }
    }
    void below(std::string_view mark, std::string_view text, std::string_view color = {}) {
        bool first = true;
        for (const std::string& folded : emit::fold(emit::plain(text), look_.width - 4)) {
            out_ += first ? fmt::format("  {} ", mark) : "    ";
            first = false;
            paint(folded, color);
        }
    }
    void blank() { out_ += '\n'; }
    std::string take() { return std::move(out_); }

private:
    void paint(std::string_view text, std::string_view color) {
        const bool painted = look_.color && !color.empty();
        if (painted) out_ += color;
        out_ += text;
        if (painted) out_ += kOff;
        out_ += '\n';
    }

    const HistoryLook& look_;
    std::string out_;
};

std::string ratio_text(const Figures& figures) {
    std::string out;
    for (const auto& [parts, material] : figures.parts) {
        if (!out.empty()) out += " : ";
        out += parts + " " + material;
    }
    return out;
}

std::string product_text(const ProductFigures& p) {
    std::string out = p.id + ": " + (p.verdict == "unknown" ? "NOT KNOWN" : p.verdict);
    if (p.ceiling_percent) out += ", up to " + p.ceiling;
    else if (!p.ceiling.empty()) out += ", ceiling: " + p.ceiling;
    if (!p.cost.empty()) out += ", one costs " + p.cost;
    return out;
}

void put(Page& page, const Entry& e) {
    std::string head = fmt::format("{}  {}  {}", e.commit->date, e.commit->id.substr(0, kShortId), e.commit->subject);
    if (!e.commit->author.empty()) head += fmt::format(" ({})", e.commit->author);
    page.line(head, kBoldOn);
    switch (e.event) {
        case Event::removed: page.below("-", e.name + " is gone"); return;
        case Event::unreadable:
            page.below("!", e.name + " is not to be found, and a recipe could not be read", kRedOn);
            for (std::size_t i = 0; i < e.errors.size() && i < 2; ++i) page.below(" ", e.errors[i]);
            return;
        case Event::broken:
            page.below("!", "does not compile: " + (e.errors.empty() ? std::string("what is to be made is not there") : e.errors.front()), kRedOn);
            if (e.errors.size() > 1) page.below(" ", fmt::format("and {} more", emit::count_text(static_cast<std::int64_t>(e.errors.size() - 1), "error", "errors")));
            break;
        case Event::added: page.below("+", e.name + " is new"); break;
        case Event::renamed: page.below("=", e.old_name + " is called " + e.name + " from here on"); break;
        case Event::changed: break;
    }
    const Figures& f = e.figures;
    if (!f.parts.empty()) page.below(" ", ratio_text(f));
    std::string known;
    if (!f.fingerprint.empty()) known = "fingerprint " + f.fingerprint;
    if (!f.leads.empty()) known += (known.empty() ? "" : "; ") + f.leads + " leads";
    if (!known.empty()) page.below(" ", known);
    for (std::size_t i = 0; i < f.products.size() && i < kMostProducts; ++i) page.below(" ", product_text(f.products[i]));
    if (f.products.size() > kMostProducts) page.below(" ", fmt::format("and {} products more", f.products.size() - kMostProducts));
    for (std::size_t i = 0; i < e.changes.size() && i < kMostChanges; ++i) page.below(i == 0 && e.worse ? "!" : "*", e.changes[i], i == 0 && e.worse ? kRedOn : "");
    if (e.changes.size() > kMostChanges) page.below("*", fmt::format("and {} changes more", e.changes.size() - kMostChanges));
}

}  // namespace

std::string render_text(const History& history, const Question& question, const HistoryLook& look) {
    Page page(look);
    const std::size_t count = look.most ? std::min(look.most, history.entries.size()) : history.entries.size();
    page.line(fmt::format("{}: {}{}, the newest first", question.name,
                          emit::count_text(static_cast<std::int64_t>(history.entries.size()), "version", "versions"),
                          count < history.entries.size() ? fmt::format(", of which {} are shown", count) : ""));
    for (std::size_t i = 0; i < count; ++i) {
        page.blank();
        put(page, history.entries[i]);
    }
    page.blank();
    if (history.shallow) page.line("This repository is shallow: what was before its oldest commit is not here.");
    page.line("! marks what got worse. Old versions are judged by the library of today, and nothing here is an approval.");
    return page.take();
}

}  // namespace scruple::history
