#include "record/entry.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>

#include "base/text.h"
#include "library/spellings.h"
#include "num/decimal.h"

namespace scruple {
namespace {

constexpr std::size_t kLongestLine = 2000;
constexpr std::size_t kMostChoices = 9;

bool digit(char c) { return c >= '0' && c <= '9'; }

/// Pieces between commas, but for the comma of `2,5` and those in quotes.
std::vector<std::string_view> pieces_of(std::string_view line) {
    std::vector<std::string_view> out;
    std::size_t from = 0;
    bool quoted = false;
    for (std::size_t i = 0; i < line.size(); ++i) {
        quoted ^= line[i] == '"';
        if (line[i] != ',' || quoted) continue;
        if (i > 0 && i + 1 < line.size() && digit(line[i - 1]) && digit(line[i + 1])) continue;
        out.push_back(line.substr(from, i - from));
        from = i + 1;
    }
    out.push_back(line.substr(from));
    return out;
}

struct Piece {
    std::vector<std::string> words;
    std::string quoted;                // the remark in quotes, if one
    bool has_quoted = false;
};

Piece split(std::string_view text) {
    Piece piece;
    std::string word;
    const auto close = [&] {
        if (!word.empty()) piece.words.push_back(std::move(word));
        word.clear();
    };
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (c == '"') {
            close();
            const auto end = text.find('"', i + 1);
            piece.quoted = std::string(text.substr(i + 1, end == std::string_view::npos ? end : end - i - 1));
            piece.has_quoted = true;
            if (end == std::string_view::npos) break;
            i = end;
        } else if (c == ' ' || c == '\t') {
            close();
        } else {
            word += c;
        }
    }
    close();
    return piece;
}

/// "2", "2.5", "2,5", "1/2" as the language writes them; empty for what is no amount.
std::string amount_of(std::string_view word) {
    std::string out(word);
    std::replace(out.begin(), out.end(), ',', '.');
    if (out.empty() || !digit(out[0]) || !digit(out.back())) return {};
    const auto parsed = parse_number(out);
    return parsed.error == NumberError::none && parsed.value.sign() > 0 ? out : std::string();
}

/// A number that is none of a bench's: `0`, `-1`.
bool nothing_or_less(std::string_view word) {
    const auto parsed = parse_number(word);
    return parsed.error == NumberError::none && parsed.value.sign() <= 0;
}

std::string unit_of(std::string_view word) {
    constexpr std::array<std::pair<std::string_view, std::string_view>, 10> kUnits{{{"drop", "drops"}, {"drops", "drops"},
        {"gtt", "drops"}, {"part", "parts"}, {"parts", "parts"}, {"ml", "ml"}, {"mL", "ml"}, {"g", "g"}, {"gram", "g"}, {"grams", "g"}}};
    for (const auto& [said, written] : kUnits) {
        if (word == said) return std::string(written);
    }
    return {};
}

std::string joined(const std::vector<std::string>& words, std::size_t from, std::size_t to) {
    std::string out;
    for (std::size_t i = from; i < to && i < words.size(); ++i) out += (i == from ? "" : " ") + words[i];
    return out;
}

class Reader {
public:
    Reader(const NameBook& book, const std::vector<std::string>& in_beaker) : book_(book), in_beaker_(in_beaker) {}

    /// The longest run of words from `from` that means something. What follows is a remark.
    bool name(const Piece& piece, std::size_t from, std::size_t to, EntryOil& oil, std::size_t& after) const {
        for (std::size_t end = to; end > from; --end) {
            auto phrase = joined(piece.words, from, end);
            auto found = book_.find(phrase);
            if (found.empty()) continue;
            if (found.size() > 1) {
                std::vector<std::string> here;
                for (const auto& n : found) {
                    if (std::find(in_beaker_.begin(), in_beaker_.end(), n) != in_beaker_.end()) here.push_back(n);
                }
                if (here.size() == 1) found = std::move(here);
            }
            if (found.size() > kMostChoices) found.resize(kMostChoices);
            oil.phrase = std::move(phrase);
            oil.names = std::move(found);
            after = end;
            return true;
        }
        return false;
    }

    std::string unknown(const Piece& piece, std::size_t from, std::size_t to) const {
        const auto phrase = joined(piece.words, from, to);
        const auto near = book_.near(phrase);
        return near.empty() ? fmt::format("no oil here is called `{}`. `scruple library {}` looks further; an oil of your own is declared in a recipe", phrase, phrase)
                            : fmt::format("no oil here is called `{}`. Did you mean {}?", phrase, book_.title(near));
    }

    /// Words without an amount that name no oil: a remark goes on after a comma.
    bool is_remark(const Piece& piece) const {
        if (piece.words.empty()) return false;
        for (const auto& word : piece.words) {
            if (!amount_of(word).empty()) return false;
        }
        const std::string said = as_name(joined(piece.words, 0, piece.words.size()));
        const auto found = book_.find(said);
        return std::none_of(found.begin(), found.end(), [&](const std::string& n) { return n.starts_with(said); });
    }

    /// `2 petitgrain too sweet`, `2 drops petitgrain`, `petitgrain 2 too sweet`
    std::string amount(const Piece& piece, EntryOil& oil) const {
        const auto& words = piece.words;
        if (words.empty()) return "between two commas nothing stands";
        std::size_t rest = 0;
        oil.amount = amount_of(words[0]);
        if (!oil.amount.empty()) {
            std::size_t from = 1;
            if (words.size() > 1 && !(oil.unit = unit_of(words[1])).empty()) from = 2;
            if (from >= words.size()) return fmt::format("{} of what? An amount, then the oil: `2 petitgrain`", joined(words, 0, from));
            if (!name(piece, from, words.size(), oil, rest)) return unknown(piece, from, std::min(from + 3, words.size()));
        } else {
            std::size_t at = 1;
            while (at < words.size() && amount_of(words[at]).empty()) ++at;
            if (at == words.size()) {
                if (name(piece, 0, words.size(), oil, rest)) return fmt::format("how much {}? An amount, then the oil: `2 {}`", oil.phrase, oil.phrase);
                return {"?"};
            }
            std::size_t end = 0;
            if (!name(piece, 0, at, oil, end) || end != at) return unknown(piece, 0, at);
            oil.amount = amount_of(words[at]);
            rest = at + 1;
            if (rest < words.size() && !(oil.unit = unit_of(words[rest])).empty()) ++rest;
        }
        if (rest < words.size() && !amount_of(words[rest]).empty()) {
            return fmt::format("`{}` is an amount too many: one amount an oil, commas between oils; a remark that starts with a number stands in quotes", words[rest]);
        }
        oil.remark = joined(words, rest, words.size());
        if (piece.has_quoted) oil.remark += (oil.remark.empty() ? "" : " ") + piece.quoted;
        return {};
    }

private:
    const NameBook& book_;
    const std::vector<std::string>& in_beaker_;
};

Entry wrong(Ask ask, std::string why) {
    Entry entry;
    entry.ask = ask;
    entry.wrong = std::move(why);
    return entry;
}

Entry read_add(std::string_view line, Ask ask, const Reader& reader) {
    Entry entry;
    entry.ask = ask;
    std::string tail;  // of a remark with commas in it
    for (const auto part : pieces_of(line)) {
        EntryOil oil;
        const Piece piece = split(part);
        if (!tail.empty() || (!entry.oils.empty() && reader.is_remark(piece))) {
            tail += "," + std::string(part);
            continue;
        }
        const std::string why = reader.amount(piece, oil);
        if (why == "?" && nothing_or_less(piece.words[0])) return wrong(ask, fmt::format("`{}` is no amount: something is more than nothing, as `2` or `0.5`", piece.words[0]));
        if (why == "?") return wrong(Ask::nothing, fmt::format("`{}` is no entry. An amount and an oil is one: `2 petitgrain`; `help` lists the rest", line));
        if (!why.empty()) return wrong(ask, why);
        entry.oils.push_back(std::move(oil));
    }
    entry.text = std::move(entry.oils.back().remark);  // the last one's is the row's
    if (!tail.empty()) entry.text = entry.text.empty() ? tail.substr(tail.find_first_not_of(", ")) : entry.text + tail;
    entry.oils.back().remark.clear();
    for (std::size_t i = 0; i < entry.oils.size(); ++i) {
        for (std::size_t k = 0; k < i; ++k) {
            if (entry.oils[i].names == entry.oils[k].names) return wrong(ask, fmt::format("{} stands there twice: one amount an oil", entry.oils[i].phrase));
        }
    }
    return entry;
}

Entry read_strip(std::string_view line, const Reader& reader) {
    Entry entry;
    entry.ask = Ask::strip;
    const auto parts = pieces_of(line);
    for (const auto part : parts) {
        const Piece piece = split(part);
        EntryOil oil;
        std::size_t after = 0;
        if (piece.words.empty()) return wrong(Ask::strip, "which oils are on the strip? `strip petitgrain, ho wood close cousins`");
        if (!reader.name(piece, 0, piece.words.size(), oil, after)) return wrong(Ask::strip, reader.unknown(piece, 0, piece.words.size()));
        oil.remark = joined(piece.words, after, piece.words.size());
        if (piece.has_quoted) oil.remark += (oil.remark.empty() ? "" : " ") + piece.quoted;
        entry.oils.push_back(std::move(oil));
    }
    entry.text = std::move(entry.oils.back().remark);
    entry.oils.back().remark.clear();
    return entry;
}

/// A name of the maker's own, from words: `mark right`.
std::string own_name(std::string_view word) {
    auto name = as_name(word);
    return name.empty() || name[0] < 'a' || name[0] > 'z' ? std::string() : name;
}

Entry read_after(const Piece& piece) {
    const auto& words = piece.words;
    Entry entry;
    entry.ask = Ask::after;
    constexpr auto kHow = "`after 24 h greener`: how long after, in min, h, days or weeks, and how it smells then";
    std::size_t at = 1;
    std::string number, unit;
    if (at < words.size()) {
        std::size_t cut = 0;  // `24h`
        while (cut < words[at].size() && (digit(words[at][cut]) || words[at][cut] == '.' || words[at][cut] == '/')) ++cut;
        number = amount_of(std::string_view(words[at]).substr(0, cut));
        unit = words[at].substr(cut);
        ++at;
    }
    if (unit.empty() && at < words.size()) unit = words[at++];
    constexpr std::array<std::pair<std::string_view, std::string_view>, 12> kTimes{{{"min", "min"}, {"minutes", "min"}, {"minute", "min"},
        {"h", "h"}, {"hour", "h"}, {"hours", "h"}, {"d", "days"}, {"day", "days"}, {"days", "days"}, {"week", "weeks"}, {"weeks", "weeks"}, {"w", "weeks"}}};
    const auto known = std::find_if(kTimes.begin(), kTimes.end(), [&](const auto& t) { return t.first == unit; });
    if (number.empty() || known == kTimes.end()) return wrong(Ask::after, kHow);
    entry.word = number + " " + std::string(known->second);
    entry.text = joined(words, at, words.size());
    if (piece.has_quoted) entry.text += (entry.text.empty() ? "" : " ") + piece.quoted;
    if (entry.text.empty()) return wrong(Ask::after, fmt::format("and how does it smell after {}? {}", entry.word, kHow));
    return entry;
}

Entry read_blend(const Piece& piece) {
    Entry entry;
    entry.ask = Ask::blend;
    const auto& words = piece.words;
    constexpr auto kHow = "`blend night_ferry \"Night Ferry\"` makes a blend of the last mark; `blend night_ferry at right` of another";
    if (words.size() < 2) return wrong(Ask::blend, kHow);
    std::size_t end = words.size();
    if (words.size() >= 4 && words[words.size() - 2] == "at") {
        entry.mark = own_name(words.back());
        end -= 2;
    }
    const auto said = joined(words, 1, end);
    entry.word = own_name(said);
    entry.text = piece.has_quoted ? piece.quoted : said.find_first_of(" ABCDEFGHIJKLMNOPQRSTUVWXYZ") != std::string::npos ? said : "";
    if (entry.word.empty()) return wrong(Ask::blend, kHow);
    return entry;
}

}  // namespace

Entry read_entry(std::string_view given, const NameBook& book, const std::vector<std::string>& in_beaker) {
    while (!given.empty() && (given.back() == ' ' || given.back() == '\r' || given.back() == '\t')) given.remove_suffix(1);
    while (!given.empty() && (given.front() == ' ' || given.front() == '\t')) given.remove_prefix(1);
    if (given.size() > kLongestLine) return wrong(Ask::nothing, fmt::format("that line is longer than {} characters: one row of the log at a time", kLongestLine));
    const std::string line = [&] {
        std::string out;
        for (const char c : given) out += static_cast<unsigned char>(c) < ' ' || c == 0x7F ? ' ' : c;
        return out;
    }();
    const Reader reader(book, in_beaker);
    const Piece piece = split(line);
    Entry entry;
    if (piece.words.empty()) {
        if (piece.has_quoted) return wrong(Ask::nothing, "a remark goes with what was added: `1 frankincense \"too sweet\"`");
        return entry;
    }
    const std::string first = ascii_lower(piece.words[0]);
    const std::size_t count = piece.words.size();
    const auto alone = [&](Ask ask) {
        if (count > 1) return read_add(line, Ask::add, reader);
        entry.ask = ask;
        return entry;
    };
    if (first == "help" || first == "?") {
        entry.ask = Ask::help;
        entry.word = joined(piece.words, 1, count);
        return entry;
    }
    if (first == "quit" || first == "exit" || first == "q") return alone(Ask::quit);
    if (first == "undo" || first == "strike") return alone(Ask::undo);
    if (first == "check") return alone(Ask::check);
    if (first == "show") return alone(Ask::show);
    if (first == "strip") return read_strip(std::string_view(line).substr(piece.words[0].size()), reader);
    if (first == "after" && count > 1) return read_after(piece);
    if (first == "blend") return read_blend(piece);
    if (first == "mark") {
        entry.ask = Ask::mark;
        entry.word = count > 1 ? own_name(joined(piece.words, 1, count)) : std::string();
        if (entry.word.empty()) return wrong(Ask::mark, "mark it as what? `mark right`: a name that starts with a letter");
        return entry;
    }
    if (first == "what" && count > 1 && ascii_lower(piece.words[1]) == "if") {
        const auto at = ascii_lower(line).find("if", 4);
        const auto rest = std::string_view(line).substr(at + 2);
        if (split(rest).words.empty()) return wrong(Ask::what_if, "what if what? `what if 1 frankincense` shows it and records nothing");
        return read_add(rest, Ask::what_if, reader);
    }
    if (first == "add" && count > 1) return read_add(std::string_view(line).substr(3), Ask::add, reader);
    return read_add(line, Ask::add, reader);
}

}  // namespace scruple
