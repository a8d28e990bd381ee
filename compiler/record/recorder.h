// A trial recorded as it happens: a line in, an answer out. Every row is on disk before its answer is given. What would not
// compile is not written; what others wrote into the file meanwhile is kept.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/file_system.h"
#include "query/session.h"
#include "record/entry.h"

namespace scruple {

struct RecorderPlan {
    std::string bench;       // its name
    std::string file;        // the recipe that holds it, or will: canonical where it exists
    std::string root;        // of the collection
    std::string day;         // 2026-05-02: of the rows that are added
    std::optional<std::string> title;  // of a new bench; not asked for then
};

struct Answer {
    std::string text;        // for the screen, at most 80 columns
    bool check = false;      // the caller shows the findings of `check`
    bool done = false;
    bool refused = false;    // what was entered could not be read, or not be recorded
    bool failed = false;     // the file could not be read or written: nothing is recorded any more
};

class Recorder {
public:
    Recorder(FileSystem& files, RecorderPlan plan);
    /// What to say before the first line.
    Answer begin();
    /// What stands before the next line.
    std::string prompt() const;
    Answer enter(std::string_view line);
    /// Names and words, for completing what is typed.
    std::vector<std::string> words() const;

private:
    struct State {
        std::string text;                      // of the file
        std::unique_ptr<Compilation> compiled;
        const Bench* bench = nullptr;          // null: none yet, or broken
    };
    State compile_with(std::string text) const;
    bool reload(Answer& answer);
    bool write(const std::string& text, Answer& answer);
    bool try_text(std::string text, State& next, Answer& answer) const;
    std::string unit() const;
    std::vector<std::string> in_beaker() const;
    std::string table(const State& state, bool all) const;

    Answer titled(std::string_view line);
    Answer chosen(std::string_view line);
    Answer carry_out(Entry entry);
    Answer record(const Entry& entry);
    Answer what_if(const Entry& entry);
    Answer undo();
    Answer blend(const Entry& entry);
    Answer show();

    FileSystem& files_;
    RecorderPlan plan_;
    State state_;
    std::unique_ptr<NameBook> book_;
    std::vector<std::string> rows_;            // recorded here, oldest first; undo takes them back
    std::optional<Entry> unclear_;             // waits for a choice between names
    std::size_t unclear_oil_ = 0;
    bool wants_title_ = false;
    bool said_day_ = false;
    bool dead_ = false;
};

/// What `help` says; of one word, if it is a word of the recorder.
std::string recorder_help(std::string_view word);

}  // namespace scruple
