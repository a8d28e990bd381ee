#include "record/recorder.h"

#include <fmt/core.h>

#include <algorithm>
#include <set>

#include "base/date.h"
#include "base/overlay_file_system.h"
#include "diag/render.h"
#include "formula/bench.h"
#include "emit/table.h"
#include "emit/words.h"
#include "library/spellings.h"
#include "num/decimal.h"
#include "record/log_text.h"
#include "trade/bench.h"

namespace scruple {
namespace {

constexpr std::size_t kWidth = 80;
constexpr std::size_t kMostLines = 14;   // of the table after an entry: it must leave the prompt in view

std::string percent(const Rational& share) { return format_fixed(share * Rational(100), 1) + " %"; }

std::string unit_phrase(Dim unit) {
    switch (unit) {
        case Dim::part: return "parts";
        case Dim::volume: return "ml";
        case Dim::mass: return "g";
        default: return "drops";
    }
}

std::string folded_lines(std::string_view text) {
    std::string out;
    for (const auto& line : emit::fold(text, kWidth)) out += line + "\n";
    return out;
}

const Bench* bench_named(const Compilation& compiled, std::string_view name) {
    for (const Bench& bench : compiled.model.benches) {
        if (bench.header.name == name && !bench.header.broken) return &bench;
    }
    return nullptr;
}

}  // namespace

Recorder::Recorder(FileSystem& files, RecorderPlan plan) : files_(files), plan_(std::move(plan)) {}

Recorder::State Recorder::compile_with(std::string text) const {
    State state;
    CompileOptions options;
    options.keep_figures = false;
    options.on = plan_.day;
    const OverlayFileSystem tried(files_, plan_.file, text);
    CollectionPlan plan;
    plan.root = plan_.root;
    state.compiled = compile(tried, plan, {}, options);
    state.bench = bench_named(*state.compiled, plan_.bench);
    state.text = std::move(text);
    return state;
}

/// Takes up what the file holds now. False where it can't be read.
bool Recorder::reload(Answer& answer) {
    std::string text;
    if (files_.kind(plan_.file) != EntryKind::missing) {
        auto read = files_.read(plan_.file, ResourceLimits{}.file_bytes);
        if (read.error != IoError::none) {
            answer.text += folded_lines(fmt::format("{} can't be read: {}. Nothing more is recorded.", plan_.file, describe(read.error)));
            answer.failed = answer.done = dead_ = true;
            return false;
        }
        text = std::move(read.text);
    }
    if (state_.compiled && text == state_.text) return true;
    if (state_.compiled) {
        answer.text += "The file was changed by somebody else meanwhile: it was read again.\n";
        rows_.clear();  // what was struck or moved there is theirs
    }
    state_ = compile_with(std::move(text));
    book_ = std::make_unique<NameBook>(*state_.compiled);
    return true;
}

bool Recorder::write(const std::string& text, Answer& answer) {
    const auto written = files_.write_atomically(plan_.file, text);
    if (written.error == IoError::none) return true;
    answer.text += folded_lines(fmt::format("{} can't be written: {}. This row is NOT recorded; all before it is.", plan_.file, describe(written.error)));
    answer.failed = true;
    return false;
}

/// Compiles the text before it is written. False, and why, where it brings an error that was not there.
bool Recorder::try_text(std::string text, State& next, Answer& answer) const {
    std::multiset<std::string> known;
    const auto key = [](const Diagnostic& d) { return fmt::format("{} {}", static_cast<int>(d.code), d.message); };
    for (const auto& d : state_.compiled->diagnostics) {
        if (d.severity == Severity::error) known.insert(key(d));
    }
    next = compile_with(std::move(text));
    const Diagnostic* fresh = nullptr;
    for (const auto& d : next.compiled->diagnostics) {
        if (d.severity != Severity::error) continue;
        if (const auto at = known.find(key(d)); at != known.end()) {
            known.erase(at);
        } else if (!fresh) {
            fresh = &d;
        }
    }
    if (!fresh && next.bench) return true;
    answer.refused = true;
    answer.text += "Not recorded:\n";
    answer.text += fresh ? render_text(*fresh, next.compiled->sources, TextOptions{}) : folded_lines(fmt::format("the bench `{}` has errors; `check` shows them", plan_.bench));
    return false;
}

std::string Recorder::unit() const { return state_.bench ? unit_phrase(state_.bench->unit) : "drops"; }

std::vector<std::string> Recorder::in_beaker() const {
    std::vector<std::string> out;
    if (!state_.bench) return out;
    const Beaker beaker = scruple::in_beaker(*state_.bench, state_.bench->rows.size());
    for (const BenchAmount& amount : beaker.amounts()) {
        out.emplace_back(state_.compiled->model.materials[amount.material].header.name);
    }
    return out;
}

std::vector<std::string> Recorder::words() const {
    std::vector<std::string> out{"add", "after", "blend", "check", "help", "mark", "quit", "show", "strip", "undo", "what if"};
    if (book_) out.insert(out.end(), book_->all().begin(), book_->all().end());
    return out;
}

std::string Recorder::table(const State& state, bool all) const {
    const Model& model = state.compiled->model;
    const BenchTable run = run_bench(model, *state.bench);
    const BenchStep* step = run.last();
    if (!step) return "The beaker is empty.\n";
    const std::string unit = unit_phrase(state.bench->unit);
    emit::Table table;
    table.columns = {{"", emit::Align::left, true}, {unit, emit::Align::right, false}, {"added", emit::Align::right, false},
                     {"share", emit::Align::right, false}, {"before", emit::Align::right, false}, {"odour", emit::Align::right, false}};
    std::vector<const BeakerLine*> lines;
    for (const BeakerLine& line : step->lines) lines.push_back(&line);
    std::size_t hidden = 0;
    if (!all && lines.size() > kMostLines) {
        // What was added now, then the largest, stay in view; in the order of the beaker.
        std::vector<const BeakerLine*> ranked = lines;
        std::stable_sort(ranked.begin(), ranked.end(), [](const BeakerLine* a, const BeakerLine* b) {
            return std::pair(a->added.is_zero(), b->share) < std::pair(b->added.is_zero(), a->share);
        });
        ranked.resize(kMostLines);
        hidden = lines.size() - kMostLines;
        std::erase_if(lines, [&](const BeakerLine* l) { return std::find(ranked.begin(), ranked.end(), l) == ranked.end(); });
    }
    for (const BeakerLine* line : lines) {
        const bool added = !line->added.is_zero();
        table.line({emit::title_of(model, line->material), format_trimmed(line->amount, 3), added ? "+" + format_trimmed(line->added, 3) : "",
                    percent(line->share), line->share_before.is_zero() ? "new" : line->share_before == line->share ? "" : percent(line->share_before),
                    line->odour && step->odour_known ? percent(*line->odour) : "?"});
    }
    table.total({"In the beaker", format_trimmed(step->total, 3), "", "", "", ""});
    std::string out;
    for (const auto& line : emit::layout(table, 2, kWidth)) out += line + "\n";
    if (hidden > 0) out += fmt::format("  … and {} more: `show` lists all\n", hidden);
    std::string lead;
    if (step->whole_ratio.size() > 1) lead = "Ratio " + emit::ratio_text(step->whole_ratio) + ". ";
    if (step->lead) {
        lead += fmt::format("{} leads with {} of the odour{}.", emit::title_of(model, step->lead->material), percent(step->lead->odour),
                             step->lead->sticks_out ? ", and sticks out" : "");
    } else if (!step->odour_known) {
        lead += "Who leads is not known: an oil has no strength stated.";
    }
    for (const auto& line : emit::fold(lead, kWidth - 2)) out += "  " + line + "\n";
    const Compilation& compiled = *state.compiled;
    const PriceBook& prices = *compiled.prices;
    const BeakerCost cost = cost_so_far(model, prices, *state.bench, *step);
    if (cost.complete || cost.known > 0) {
        const std::string words = fmt::format("Cost so far: {}{} {}.", cost.complete ? "" : "at least ", format_fixed(cost.known, 2), prices.currency());
        for (const auto& line : emit::fold(words, kWidth - 2)) out += "  " + line + "\n";
    }
    return out;
}

Answer Recorder::begin() {
    Answer answer;
    if (!reload(answer)) return answer;
    if (state_.bench) {
        const auto rows = state_.bench->rows.size();
        answer.text += folded_lines(fmt::format("{} goes on in {}: {} {} so far. `help` says what can be entered.", plan_.bench, path_name(plan_.file), rows, rows == 1 ? "row" : "rows"));
        answer.text += table(state_, false);
        return answer;
    }
    if (find_bench(state_.text, plan_.bench)) {
        answer.text += folded_lines(fmt::format("The bench `{}` in {} has errors, and what is wrong is not added to. Mend it first:", plan_.bench, path_name(plan_.file)));
        answer.check = answer.failed = answer.done = true;
        return answer;
    }
    if (plan_.title) {
        Answer begun = titled(*plan_.title);
        begun.text = answer.text + begun.text;
        return begun;
    }
    wants_title_ = true;
    answer.text += folded_lines(fmt::format("There is no bench `{}` here yet: this begins it, in {}.", plan_.bench, path_name(plan_.file)));
    answer.text += folded_lines("What is it for? A title, or Enter for none. `help` helps, `quit` leaves without a file.");
    return answer;
}

std::string Recorder::prompt() const {
    return wants_title_ ? "title> " : unclear_ ? "which> " : plan_.bench + "> ";
}

Answer Recorder::titled(std::string_view line) {
    Answer answer;
    while (!line.empty() && (line.back() == ' ' || line.back() == '\r')) line.remove_suffix(1);
    while (!line.empty() && line.front() == ' ') line.remove_prefix(1);
    if (wants_title_ && (line == "help" || line == "?")) {
        answer.text = "A title is printed above the trial, for example: Ferry, spring\nEnter alone leaves it out. `quit` leaves, and no file is made.\n";
        return answer;
    }
    if (wants_title_ && line == "quit") {
        answer.done = true;
        return answer;
    }
    if (line.size() > 1 && line.front() == '"' && line.back() == '"') line = line.substr(1, line.size() - 2);
    State next;
    if (!try_text(with_declaration(state_.text, new_bench(plan_.bench, line, plan_.day)), next, answer)) {
        if (!wants_title_) answer.failed = answer.done = true;
        return answer;
    }
    if (!write(next.text, answer)) {
        answer.done = true;
        return answer;
    }
    state_ = std::move(next);
    wants_title_ = false;
    said_day_ = true;
    answer.text += folded_lines(fmt::format("{} begun. Enter what goes into the beaker, for example `2 petitgrain`; `help` lists the rest.", path_name(plan_.file)));
    return answer;
}

Answer Recorder::enter(std::string_view line) {
    Answer answer;
    if (dead_) {
        answer.failed = answer.done = true;
        return answer;
    }
    if (wants_title_) return titled(line);
    if (unclear_) return chosen(line);
    if (!reload(answer)) return answer;
    if (!state_.bench) {
        answer.text += folded_lines(fmt::format("The bench `{}` is gone from {}, or has errors now. Mend the file, then start again.", plan_.bench, path_name(plan_.file)));
        answer.failed = answer.done = true;
        return answer;
    }
    Answer more = carry_out(read_entry(line, *book_, in_beaker()));
    more.text = answer.text + more.text;
    return more;
}

Answer Recorder::chosen(std::string_view line) {
    Answer answer;
    const std::string word = as_name(line);
    Entry entry = std::move(*unclear_);
    unclear_.reset();
    auto& oil = entry.oils[unclear_oil_];
    if (word.empty() || word == "none" || word == "quit") {
        answer.text = "Nothing recorded.\n";
        return answer;
    }
    if (word == "help") {
        answer.text = "More than one oil answers to that. Enter the number before the one that you\nmean, or its name; Enter alone records nothing.\n";
        unclear_ = std::move(entry);
        return answer;
    }
    std::size_t pick = oil.names.size();
    if (word.size() == 1 && word[0] >= '1' && word[0] <= '9') pick = static_cast<std::size_t>(word[0] - '1');
    for (std::size_t i = 0; i < oil.names.size(); ++i) {
        if (oil.names[i] == word) pick = i;
    }
    if (pick >= oil.names.size()) {
        answer.text = fmt::format("A number from 1 to {}, or Enter for none.\n", oil.names.size());
        answer.refused = true;
        unclear_ = std::move(entry);
        return answer;
    }
    oil.names = {oil.names[pick]};
    return carry_out(std::move(entry));
}

Answer Recorder::carry_out(Entry entry) {
    Answer answer;
    if (!entry.wrong.empty()) {
        answer.text = folded_lines(entry.wrong);
        answer.refused = true;
        return answer;
    }
    for (std::size_t i = 0; i < entry.oils.size(); ++i) {
        const auto& names = entry.oils[i].names;
        if (names.size() == 1) continue;
        answer.text = fmt::format("Which `{}`?\n", entry.oils[i].phrase);
        for (std::size_t n = 0; n < names.size(); ++n) answer.text += fmt::format("  {}  {} ({})\n", n + 1, book_->title(names[n]), names[n]);
        unclear_ = std::move(entry);
        unclear_oil_ = i;
        return answer;
    }
    switch (entry.ask) {
        case Ask::nothing: return answer;
        case Ask::help: answer.text = recorder_help(entry.word); return answer;
        case Ask::quit: answer.done = true; return answer;
        case Ask::check:
            answer.check = true;
            answer.text = "What `check` finds; finding nothing is no approval:\n";
            return answer;
        case Ask::show: return show();
        case Ask::undo: return undo();
        case Ask::blend: return blend(entry);
        case Ask::what_if: return what_if(entry);
        case Ask::add:
        case Ask::strip:
        case Ask::mark:
        case Ask::after:
        case Ask::remark: return record(entry);
    }
    return answer;
}

Answer Recorder::record(const Entry& entry) {
    Answer answer;
    const auto place = find_bench(state_.text, plan_.bench);
    if (!place) {
        answer.text = "The bench is not where it was; nothing recorded.\n";
        answer.failed = true;
        return answer;
    }
    std::string rows;
    if (!said_day_) {
        // The day that holds at the end of the log.
        std::string last = state_.bench->on;
        for (const BenchRow& row : state_.bench->rows) {
            if (!row.on.empty()) last = row.on;
        }
        if (last.empty() || is_after(plan_.day, last)) rows += day_row(plan_.day);
    }
    const std::string row = row_text(entry, unit());
    rows += row;
    State next;
    if (!try_text(with_rows(state_.text, *place, rows), next, answer)) return answer;
    if (!write(next.text, answer)) return answer;
    said_day_ = true;
    state_ = std::move(next);
    rows_.push_back(row);
    switch (entry.ask) {
        case Ask::mark: answer.text += fmt::format("Marked `{}`: `blend NAME` makes a blend of it.\n", entry.word); break;
        case Ask::after:
        case Ask::strip: answer.text += "Recorded.\n"; break;
        default: answer.text += table(state_, false); break;
    }
    return answer;
}

Answer Recorder::what_if(const Entry& entry) {
    Answer answer;
    const auto place = find_bench(state_.text, plan_.bench);
    State next;
    if (!place || !try_text(with_rows(state_.text, *place, row_text(entry, unit())), next, answer)) return answer;
    answer.text += "What if. Nothing is recorded:\n" + table(next, false);
    return answer;
}

Answer Recorder::undo() {
    Answer answer;
    if (rows_.empty()) {
        answer.refused = true;
        answer.text = folded_lines("Nothing to strike: only rows of this session can be, the last one first. What is in the beaker stays in the log.");
        return answer;
    }
    const auto place = find_bench(state_.text, plan_.bench);
    const auto text = place ? with_struck(state_.text, *place, rows_.back()) : std::nullopt;
    if (!text) {
        answer.refused = true;
        answer.text = "The last row of the file is another one by now; nothing was struck.\n";
        return answer;
    }
    State next;
    if (!try_text(*text, next, answer)) return answer;
    if (!write(next.text, answer)) return answer;
    state_ = std::move(next);
    rows_.pop_back();
    answer.text += folded_lines("Struck, and kept as a comment. Only for what never went into the beaker: a drop can't be taken out again.");
    answer.text += table(state_, false);
    return answer;
}

Answer Recorder::blend(const Entry& entry) {
    Answer answer;
    std::string mark = entry.mark;
    for (const BenchRow& row : state_.bench->rows) {
        if (entry.mark.empty() && row.act == BenchAct::mark) mark = std::string(row.mark);
    }
    if (mark.empty()) {
        answer.refused = true;
        answer.text = folded_lines("A blend is made of a mark, and there is none yet: `mark right` names what is in the beaker.");
        return answer;
    }
    State next;
    if (!try_text(with_declaration(state_.text, new_blend(entry.word, entry.text, plan_.bench, mark)), next, answer)) return answer;
    if (!write(next.text, answer)) return answer;
    state_ = std::move(next);
    book_ = std::make_unique<NameBook>(*state_.compiled);
    answer.text += folded_lines(fmt::format("The blend `{}` takes what `{}` holds. `check` looks it over; `scruple build` prints its sheet.", entry.word, mark));
    return answer;
}

Answer Recorder::show() {
    Answer answer;
    answer.text = table(state_, true);
    return answer;
}

}  // namespace scruple
