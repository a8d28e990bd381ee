#include <fmt/core.h>

#include <algorithm>
#include <atomic>
#include <set>
#include <thread>

#include "base/parallel.h"
#include "changes/listed.h"
#include "changes/change.h"
#include "changes/sentence.h"
#include "history/walk.h"
#include "sema/names.h"

namespace scruple::history {
namespace {

class Tracer {
public:
    Tracer(Walk& walk, const Question& question) : walk_(walk), question_(question), places_(walk.nodes.size()) {}

    /// Names first, from the newest commit back; false if nothing was ever called so.
    bool name_all() {
        bool any = false;
        for (std::size_t i = walk_.nodes.size(); i-- > 0;) {
            Place& place = places_[i];
            const Shelf& shelf = walk_.shelf(i);
            if (!place.named) {
                place.named = true;
                if (declaration_of(shelf, question_.name)) place.name = question_.name;
            }
            any |= !place.name.empty();
            for (const std::size_t parent : walk_.nodes[i].parents) {
                Place& before = places_[parent];
                if (before.named) continue;
                before.named = true;
                before.name = name_before(i, parent);
            }
        }
        return any;
    }

    const std::string& name(std::size_t node) const { return places_[node].name; }

    std::vector<Entry> entries() {
        std::vector<Entry> out;
        std::vector<std::size_t> differing;
        for (std::size_t i = 0; i < walk_.nodes.size(); ++i) {
            if (differs_from_all(i)) differing.push_back(i);
        }
        compile_all(differing);
        for (const std::size_t i : differing) {
            Entry entry;
            if (make(i, entry)) out.push_back(std::move(entry));
        }
        std::reverse(out.begin(), out.end());
        return out;
    }

private:
    struct Place {
        std::string name;
        bool named = false;
        std::string digest;       // of what the name rests on; empty where it has none
        bool digested = false;
        std::shared_ptr<const Version> version;
    };

    const changes::Imprint* declaration(std::size_t node) {
        return places_[node].name.empty() ? nullptr : declaration_of(walk_.shelf(node), places_[node].name);
    }

    const std::string& digest(std::size_t node) {
        Place& place = places_[node];
        if (place.digested) return place.digest;
        place.digested = true;
        const auto* d = declaration(node);
        if (!d) return place.digest;
        // The same files under the same name rest on the same.
        auto& known = digests_[{&walk_.shelf(node), place.name}];
        if (known.empty()) {
            const Shelf& shelf = walk_.shelf(node);
            known = shelf.imports ? walk_.digest_of_tree(node) : shelf.behind.digest(names_beside(shelf, *d), true);
            known += place.name;
        }
        place.digest = known;
        return place.digest;
    }

    /// Versions that are known to be needed, on all cores. What imports another collection is left for later: its files are
    /// read from the repository.
    void compile_all(const std::vector<std::size_t>& nodes) {
        struct Job {
            std::size_t node;
            std::string digest;
            std::shared_ptr<const Version> made;
        };
        std::vector<Job> jobs;
        std::set<std::string> listed;
        const auto add = [&](std::size_t node) {
            const Place& place = places_[node];
            if (place.name.empty() || walk_.shelf(node).imports || !listed.insert(digest(node)).second) return;
            jobs.push_back({node, digest(node), nullptr});
        };
        for (const std::size_t node : nodes) {
            add(node);
            if (!walk_.nodes[node].parents.empty()) add(walk_.nodes[node].parents.front());
        }
        const std::size_t pieces = std::clamp<std::size_t>(std::thread::hardware_concurrency(), 1, 16);
        std::atomic<std::size_t> next = 0;
        in_parallel(std::min(pieces, std::max<std::size_t>(1, jobs.size())), [&](std::size_t) {
            for (std::size_t j = next++; j < jobs.size(); j = next++) {
                const std::size_t node = jobs[j].node;
                const auto names = names_beside(walk_.shelf(node), *declaration(node));
                jobs[j].made = std::make_shared<const Version>(
                    compile_slice(slice_of(walk_.shelf(node), names), places_[node].name, question_.on));
            }
        });
        for (Job& job : jobs) versions_.emplace(std::move(job.digest), std::move(job.made));
    }

    std::shared_ptr<const Version> version(std::size_t node) {
        Place& place = places_[node];
        if (place.version || place.name.empty()) return place.version;
        auto& known = versions_[digest(node)];
        if (!known) known = std::make_shared<const Version>(walk_.compile_at(node, *declaration(node), place.name, question_.on));
        place.version = known;
        return known;
    }

    /// What `name` of the child was called in the parent: the same, or what the parent alone has and says the same.
    std::string name_before(std::size_t child, std::size_t parent) {
        const std::string& name = places_[child].name;
        const Shelf& before = walk_.shelf(parent);
        if (name.empty()) return declaration_of(before, question_.name) ? question_.name : std::string();
        if (&before == &walk_.shelf(child) || declaration_of(before, name)) return name;
        const Shelf& after = walk_.shelf(child);
        const auto* now = declaration_of(after, name);
        if (!now || now->name != name) return {};
        std::vector<const changes::Imprint*> gone;
        for (const auto* i : before.declarations) {
            if (i->kind == now->kind && !i->name.empty() && !after.by_name.contains(i->name)) gone.push_back(i);
        }
        for (const auto* i : gone) {
            if (i->nameless == now->nameless) return std::string(i->name);
        }
        if (gone.empty() || before.imports || after.imports) return {};
        // Its content decides, as it does where two versions are compared.
        std::vector<std::string_view> names;
        for (const auto* i : gone) {
            for (const auto beside : names_beside(before, *i)) names.push_back(beside);
        }
        const Version old = compile_slice(slice_of(before, names), gone.front()->name, question_.on);
        const Version fresh = compile_slice(slice_of(after, names_beside(after, *now)), name, question_.on);
        for (const auto& unit : changes::compare(old.state, fresh.state).units) {
            if (unit.id != name || !unit.renamed()) continue;
            const bool was = std::any_of(gone.begin(), gone.end(), [&](const auto* i) { return i->name == unit.old_id; });
            if (was) return unit.old_id;
        }
        return {};
    }

    /// As git has it: a commit matters where it differs from every parent.
    bool differs_from_all(std::size_t node) {
        const auto& parents = walk_.nodes[node].parents;
        if (parents.empty()) return !places_[node].name.empty();
        return std::none_of(parents.begin(), parents.end(), [&](std::size_t parent) { return digest(parent) == digest(node); });
    }

    /// The version to compare with: the nearest one before, by the first parents, that was whole.
    std::shared_ptr<const Version> sound_before(std::size_t node, std::size_t& at) {
        for (at = node;;) {
            const auto& parents = walk_.nodes[at].parents;
            if (parents.empty()) return nullptr;
            at = parents.front();
            if (places_[at].name.empty()) return nullptr;
            auto v = version(at);
            if (v->there) return v;
        }
    }

    bool make(std::size_t node, Entry& entry) {
        const auto& parents = walk_.nodes[node].parents;
        const Place& place = places_[node];
        const std::string before_name = parents.empty() ? std::string() : places_[parents.front()].name;
        entry.commit = walk_.nodes[node].commit;
        entry.merge = parents.size() > 1;
        entry.name = place.name;
        entry.old_name = before_name.empty() ? place.name : before_name;
        if (place.name.empty()) {
            entry.event = walk_.shelf(node).unreadable ? Event::unreadable : Event::removed;
            entry.name = before_name;
            if (parents.empty() || before_name.empty()) return false;
            if (const auto was = version(parents.front())) entry.figures = figures_of(*was, before_name);
            if (entry.event == Event::unreadable) entry.errors = walk_.errors_at(node);
            return true;
        }
        const auto now = version(node);
        entry.figures = figures_of(*now, place.name);
        entry.errors = now->errors;
        std::size_t at = node;
        const auto was = sound_before(node, at);
        if (!now->there) {
            entry.event = Event::broken;
            return true;
        }
        if (!was) {
            // After versions that did not compile it is news that it does again.
            entry.event = before_name.empty() ? Event::added : Event::changed;
            return true;
        }
        const auto found = changes::compare(was->state, now->state);
        const bool renamed = places_[at].name != place.name;
        const bool mended = at != parents.front();
        // What changed for the whole collection alone is not its history.
        const bool own = !found.rows.empty() || std::any_of(found.units.begin(), found.units.end(), [](const changes::UnitChange& u) {
            return u.state != changes::UnitState::changed || u.renamed() ||
                   std::any_of(u.changes.begin(), u.changes.end(), [](const changes::Change& c) { return c.what != changes::What::assumption; });
        });
        if (!own && !renamed && !mended) return false;
        entry.event = renamed ? Event::renamed : Event::changed;
        entry.worse = changes::outcome(found) == changes::Outcome::worse;
        entry.changes = changes::summary(found);
        entry.changes.erase(entry.changes.begin());  // the outcome, which `worse` says
        // Words and the bench are no matter for a summary, and all that there is here.
        for (const auto& u : found.units) {
            if (!entry.changes.empty() || u.state != changes::UnitState::changed) continue;
            for (const auto& c : u.changes) {
                const bool listed = c.rank() <= changes::Rank::smell;
                if (!listed && !changes::is_minor(c)) entry.changes.push_back(changes::sentence(u, c));
            }
        }
        return true;
    }

    Walk& walk_;
    const Question& question_;
    std::vector<Place> places_;
    std::map<std::pair<const Shelf*, std::string>, std::string> digests_;
    std::unordered_map<std::string, std::shared_ptr<const Version>> versions_;
};

}  // namespace

std::string_view event_word(Event event) {
    switch (event) {
        case Event::added: return "added";
        case Event::changed: return "changed";
        case Event::renamed: return "renamed";
        case Event::removed: return "removed";
        case Event::broken: return "broken";
        case Event::unreadable: return "unreadable";
    }
    return "changed";
}

History trace(GitRepository& repository, const Question& question) {
    History out;
    out.shallow = repository.shallow();
    Walk walk(repository, question.folder);
    out.fault = walk.read(question.revisions, out.commits);
    if (!out.fault.empty()) return out;
    Tracer tracer(walk, question);
    if (!tracer.name_all()) {
        std::set<std::string, std::less<>> names;
        for (std::size_t i = 0; i < walk.nodes.size(); ++i) {
            for (const auto& [name, unused] : walk.shelf(i).by_name) names.emplace(name);
        }
        out.unknown_name = true;
        out.fault = fmt::format("no blend, product or line was ever called `{}` in these commits", question.name);
        if (auto near = nearest(question.name, std::vector<std::string>(names.begin(), names.end())); !near.empty()) out.near.push_back(std::move(near));
        return out;
    }
    out.entries = tracer.entries();
    return out;
}

std::string name_at(GitRepository& repository, const Question& question, const std::string& commit) {
    Walk walk(repository, question.folder);
    std::vector<GitCommit> commits;
    if (!walk.read(question.revisions, commits).empty()) return {};
    Tracer tracer(walk, question);
    if (!tracer.name_all()) return {};
    for (std::size_t i = 0; i < walk.nodes.size(); ++i) {
        if (walk.nodes[i].commit->id == commit) return tracer.name(i);
    }
    return {};
}

Sightings find_fingerprint(GitRepository& repository, const Question& question, const std::string& fingerprint) {
    Sightings out;
    out.shallow = repository.shallow();
    Walk walk(repository, question.folder);
    out.fault = walk.read(question.revisions, out.commits);
    if (!out.fault.empty()) return out;

    // Every distinct ratio is worked out once: what is new in a commit, together.
    const auto key_of = [&](std::size_t node, std::string_view name) {
        const Shelf& shelf = walk.shelf(node);
        return shelf.imports ? walk.digest_of_tree(node) + std::string(name) : shelf.behind.digest({name}, false);
    };
    struct Job {
        std::size_t node;
        std::vector<std::pair<std::string_view, std::string>> wanted;  // names and keys
        std::map<std::string, std::string> prints;
    };
    std::vector<Job> jobs;
    std::set<std::string> listed;
    std::map<const Shelf*, std::vector<std::pair<std::string_view, std::string>>> of_shelf;  // names and keys
    for (std::size_t i = 0; i < walk.nodes.size(); ++i) {
        const Shelf& shelf = walk.shelf(i);
        const auto [at, fresh] = of_shelf.try_emplace(&shelf);
        if (!fresh) continue;
        Job job{i, {}, {}};
        for (const auto& [name, imprint] : shelf.by_name) {
            if (imprint->kind != "blend" && imprint->kind != "variation") continue;
            if (!question.name.empty() && name != question.name) continue;
            at->second.emplace_back(name, key_of(i, name));
            if (listed.insert(at->second.back().second).second) job.wanted.push_back(at->second.back());
        }
        std::sort(at->second.begin(), at->second.end());
        if (!job.wanted.empty()) jobs.push_back(std::move(job));
    }
    const std::size_t pieces = std::clamp<std::size_t>(std::thread::hardware_concurrency(), 1, 16);
    std::atomic<std::size_t> next = 0;
    const auto work = [&](Job& job) {
        std::vector<std::string_view> names;
        for (const auto& [name, key] : job.wanted) names.push_back(name);
        job.prints = walk.fingerprints_at(job.node, names);
    };
    in_parallel(std::min(pieces, std::max<std::size_t>(1, jobs.size())), [&](std::size_t) {
        for (std::size_t j = next++; j < jobs.size(); j = next++) {
            if (!walk.shelf(jobs[j].node).imports) work(jobs[j]);
        }
    });
    std::unordered_map<std::string, std::string> known;  // key to fingerprint
    for (Job& job : jobs) {
        if (walk.shelf(job.node).imports) work(job);
        for (const auto& [name, key] : job.wanted) {
            const auto found = job.prints.find(std::string(name));
            known.emplace(key, found == job.prints.end() ? std::string() : found->second);
        }
    }
    const auto prints = [&](std::size_t node) {
        std::map<std::string, std::string, std::less<>> out;
        for (const auto& [name, key] : of_shelf[&walk.shelf(node)]) out.emplace(name, known[key]);
        return out;
    };
    const auto print_of = [&](std::size_t node, const std::string& blend) -> std::string {
        const auto& all = of_shelf[&walk.shelf(node)];
        const auto found = std::lower_bound(all.begin(), all.end(), std::pair(std::string_view(blend), std::string()));
        return found == all.end() || found->first != blend ? std::string() : known[found->second];
    };
    for (std::size_t i = 0; i < walk.nodes.size(); ++i) {
        const auto& parents = walk.nodes[i].parents;
        for (const auto& [blend, print] : prints(i)) {
            const auto had_it = [&, name = blend, same = print](std::size_t parent) { return print_of(parent, name) == same; };
            if (!print.starts_with(fingerprint) || print.empty()) continue;
            if (std::any_of(parents.begin(), parents.end(), had_it)) continue;
            out.found.push_back({blend, print, walk.nodes[i].commit, nullptr});
        }
        // What a parent had and this commit no longer has ends here.
        for (auto& sighting : out.found) {
            if (sighting.until || parents.empty()) continue;
            const auto was = print_of(parents.front(), sighting.blend);
            if (was.starts_with(fingerprint) && !was.empty() && print_of(i, sighting.blend) != was) sighting.until = walk.nodes[i].commit;
        }
    }
    out.versions = known.size();
    std::reverse(out.found.begin(), out.found.end());
    return out;
}

}  // namespace scruple::history
