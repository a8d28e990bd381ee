// A blend or a product through the commits of a repository: what it was in each, and what each did to it.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "git/log.h"

namespace scruple::history {

/// What a version says of a product of the blend, in the words of the sheets.
struct ProductFigures {
    std::string id;
    std::string verdict;
    std::string ceiling;                   // "1.89 %", "no limit applies", "not known"
    std::optional<double> ceiling_percent;
    std::string cost;                      // of one, "4.10 EUR"; empty: not known
    std::optional<double> cost_per_unit;
    std::string currency;
};

struct Figures {
    std::string title;
    std::string blend;                                       // whose ratio it is
    std::vector<std::pair<std::string, std::string>> parts;  // how many, of which material; as written
    std::string fingerprint;                                 // empty: the ratio is not known
    std::string leads;                                       // who is smelt most; empty: not known
    std::vector<ProductFigures> products;                    // by name
};

enum class Event {
    added, changed, renamed, removed,
    broken,      // it stands there and does not compile
    unreadable,  // it is not to be found, and a recipe could not be read
};
std::string_view event_word(Event event);

struct Entry {
    const GitCommit* commit = nullptr;
    Event event = Event::changed;
    bool merge = false;
    std::string name;                  // as it was called
    std::string old_name;              // differs where it was renamed
    Figures figures;                   // of what was removed: as it was last
    bool worse = false;                // something could hurt more than before, or is known less
    std::vector<std::string> changes;  // in words, what can hurt first
    std::vector<std::string> errors;   // of a version that does not compile
};

struct History {
    std::string fault;                 // a sentence; nothing else is set then
    bool unknown_name = false;         // the fault: nothing was ever called so
    std::vector<std::string> near;     // names that are like it
    std::vector<GitCommit> commits;
    std::vector<Entry> entries;        // newest first
    bool shallow = false;              // commits before the oldest are not here
};

struct Question {
    std::string name;        // a blend, variation, product, or a line's product
    std::string revisions;   // a revision or range; empty: HEAD
    std::string folder;      // of the collection, below the repository's top; "." for the top
    std::string on;          // the date for which versions are judged; empty: none
};

/// Compiles each distinct version once, and only what the name rests on.
History trace(GitRepository& repository, const Question& question);

/// Where a fingerprint was: the blend, the first commit that had it, and the first after it that no longer did.
struct Sighting {
    std::string blend;
    std::string fingerprint;
    const GitCommit* since = nullptr;
    const GitCommit* until = nullptr;  // null: it is so still
};
struct Sightings {
    std::string fault;
    std::vector<GitCommit> commits;
    std::vector<Sighting> found;       // newest first
    bool shallow = false;
    std::size_t versions = 0;          // how many fingerprints were looked at
};
/// Looks for fingerprints that begin so. `question.name` may be empty: every blend.
Sightings find_fingerprint(GitRepository& repository, const Question& question, const std::string& fingerprint);

/// The name that what is called `name` now had at a commit; empty if it was not there.
std::string name_at(GitRepository& repository, const Question& question, const std::string& commit);

struct HistoryLook {
    bool color = false;
    std::size_t width = 80;
    std::size_t most = 0;  // entries; 0: all
};
std::string render_text(const History& history, const Question& question, const HistoryLook& look);
/// Schema `scruple.history/1` (grammar/history.schema.json).
std::string render_json(const History& history, const Question& question, std::size_t most);

/// Schema `scruple.sightings/1` (grammar/sightings.schema.json).
std::string render_sightings_json(const Sightings& sightings, const std::string& wanted);

}  // namespace scruple::history
