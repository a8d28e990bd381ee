#include <string>

#include "changes/render.h"
#include "changes/report.h"
#include "changes/sentence.h"
#include "emit/table.h"
#include "emit/words.h"

namespace scruple::changes {
namespace {

constexpr std::string_view kBold = "\x1b[1m", kRed = "\x1b[1;31m", kPlain = "\x1b[0m";

std::string painted(std::string_view text, std::string_view how, bool color) {
    return color ? std::string(how) + std::string(text) + std::string(kPlain) : std::string(text);
}

std::string counted(const Changes& changes) {
    std::int64_t benches = 0, blends = 0, products = 0;
    const auto count = [&](UnitKind kind) { ++(kind == UnitKind::blend ? blends : kind == UnitKind::product ? products : benches); };
    for (const UnitChange& u : changes.units) count(u.kind);
    for (const CountedUnit& u : changes.counted) count(u.kind);
    const std::size_t small = small_only(changes);
    const std::string little = small > 0 ? ", " + std::to_string(small) + " of them in small things only" : "";
    const std::string trials = benches > 0 ? emit::count_text(benches, "bench", "benches") + ", " : "";
    return trials + emit::count_text(blends, "blend", "blends") + " and " + emit::count_text(products, "product", "products") + " differ" + little;
}

}  // namespace

std::string render_text(const Changes& changes, const TextLook& look) {
    std::string out;
    if (look.titled) out = painted(report_title(changes), kBold, look.color) + "\n";
    const auto lines = summary(changes, kMostListed);
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const auto folded = emit::fold(emit::plain(lines[i]), look.width - 2);
        for (std::size_t k = 0; k < folded.size(); ++k) {
            if (i == 0) {
                const bool bad = outcome(changes) == Outcome::worse || outcome(changes) == Outcome::incomplete;
                out += bad ? painted(folded[k], kRed, look.color) : folded[k];
            } else {
                out += (k == 0 ? "- " : "  ") + folded[k];
            }
            out += "\n";
        }
    }
    if (!changes.any()) return out;
    for (const std::string& line : emit::fold(counted(changes) + "; what got worse is marked with !", look.width)) out += line + "\n";
    for (const ReportSection& s : short_report(changes)) {
        out += "\n" + painted(s.title, s.worse ? kRed : kBold, look.color) + "\n";
        if (!s.table.rows.empty()) {
            for (const std::string& line : emit::layout(s.table, 2, look.width)) out += line + "\n";
        }
        if (const std::string rest = left_out_words(s); !rest.empty()) {
            for (const std::string& line : emit::fold("and " + rest + ", which `--to json` and `--to html` list", look.width - 2)) out += "  " + line + "\n";
        }
    }
    return out;
}

}  // namespace scruple::changes
