#include <fmt/core.h>

#include <algorithm>
#include <unordered_set>

#include "sema/elaborator.h"

namespace scruple {

namespace {

constexpr std::size_t kMostMembers = 1000;  // of a group

Note note_from_word(std::string_view word) {
    if (word == "top") return Note::top;
    if (word == "top_middle") return Note::top_middle;
    if (word == "middle") return Note::middle;
    if (word == "base") return Note::base;
    return Note::unknown;
}

}  // namespace

/// `like NAME` in the head: the declaration to start from, of the same kind. Sets `like` to kNoDecl without one.
void Elaborator::start_like(DeclId id, Header& header, DeclId& like) {
    like = kNoDecl;
    const Decl decl = names_.at(id);
    Cursor cursor = after_name(decl);
    if (cursor.done()) return;
    if (!cursor.take_word("like")) {
        leftover(cursor);
        return;
    }
    if (!kind_spec(decl.kind).like) {
        report(decl.kind == Kind::blend ? Code::like_blend : Code::unexpected_text, cursor.before(),
               decl.kind == Kind::blend ? "a blend is not made like another: `variation` derives one from another"
                                        : fmt::format("{} can't be like another", kind_phrase(decl.kind)));
        return;
    }
    if (!cursor.is(AtomKind::word)) {
        report(Code::missing_value, cursor.before(), "like what? a name is wanted after `like`");
        return;
    }
    // `oil NAME like NAME` means the library's.
    const auto space = kind_spec(decl.kind).space;
    if (cursor.text() == decl.name) {
        const DeclId library = names_.find_library(space, decl.name);
        if (library == kNoDecl) {
            report(Code::like_cycle, cursor.span(cursor.peek()),
                   fmt::format("`{}` can't be like itself, and the library has none of that name", decl.name));
            return;
        }
        cursor.take();
        like = library;
    } else {
        const auto name = read_name(cursor, decl.scope, space, {decl.kind});
        if (name.decl == kNoDecl) return;
        if (names_.at(name.decl).state == Decl::State::busy) {
            report(Code::like_cycle, name.span,
                   fmt::format("`{}` and `{}` are like each other in a circle", decl.name, name.text))
                .also(names_.at(name.decl).name_span, "declared here");
            return;
        }
        like = name.decl;
    }
    leftover(cursor);
    (void)header;
}

MaterialId Elaborator::material(DeclId id) {
    if (!begin(id)) return names_.at(id).record;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const auto record = static_cast<MaterialId>(model_.materials.size());
    model_.materials.emplace_back();
    names_.at(id).record = record;

    Material m;
    const Header header = header_of(decl);
    DeclId like = kNoDecl;
    Header scratch;
    start_like(id, scratch, like);
    if (like != kNoDecl) {
        const MaterialId from = material(like);
        if (from != kNone) {
            const auto neat = neat_.find(from);
            m = neat != neat_.end() ? neat->second : model_.materials[from];
            // Each carries what all above it count as, so the chain has an end.
            m.like_depth = model_.materials[from].like_depth + 1;
            if (m.like_depth > limits_.variation_depth && !names_.at(like).broken) {
                report(Code::variation_too_deep, decl.name_span,
                       fmt::format("`{}` is like another that is like another, more than {} deep, and that is the limit",
                                   decl.name, limits_.variation_depth));
            }
            if (broken_ || names_.at(like).broken) m.counts_as.clear();
            if (neat == neat_.end()) m.counts_as.push_back({from, 1});
        }
        if (names_.at(like).broken) broken_ = true;
        // Group rows are worked out again below.
        std::erase_if(m.contains, [&](const Constituent& c) {
            return model_.substances[c.substance].is_group && c.source == kNone && !c.span.known();
        });
    }
    const std::string old_title = m.header.title;
    m.header = header;
    if (like != kNoDecl && after_name(decl).position() < 3) m.header.title = old_title;
    m.kind = decl.kind == Kind::oil ? MaterialKind::oil : MaterialKind::ingredient;
    if (decl.scope != kLibraryScope && like == kNoDecl) m.sources.clear();
    const std::optional<Density> density_above = m.density;
    bool density_given = false;  // here, so of the dilution where this is one
    bool diluted_here = false;

    read_block(id, decl.row, kind_spec(decl.kind),
        [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
            switch (spec.field) {
                case Field::botanical: m.botanical = read_text(cursor); break;
                case Field::conservation: m.conservation = read_text(cursor); break;
                case Field::cites_appendix:
                    m.cites_appendix = read_word(cursor, spec);
                    m.cites_source = read_by(cursor, decl.scope);
                    leftover(cursor);
                    break;
                case Field::inci: m.inci = read_text(cursor); break;
                case Field::cas: {
                    const Span span = cursor.rest();
                    m.cas = read_text(cursor);
                    if (!m.cas.empty()) check_cas(m.cas, span);
                    break;
                }
                case Field::density: {
                    Density d;
                    d.span = cursor.rest();
                    if (const auto r = read_figure(cursor, decl.scope, spec, &d.at_c, &d.source)) {
                        d.g_per_ml = *r;
                        // A two-point range has no typical value: weighing takes the middle.
                        if (!r->stated_typical) d.g_per_ml.typical = (r->low + r->high) / 2;
                        m.density = d;
                        density_given = true;
                    }
                    break;
                }
                case Field::bulk:
                    if (const auto r = read_figure(cursor, decl.scope, spec, nullptr, nullptr)) m.bulk_g_per_ml = r->typical;
                    break;
                case Field::flash:
                    if (const auto r = read_figure(cursor, decl.scope, spec, nullptr, nullptr)) m.flash_c = r->low;
                    break;
                case Field::dropper:
                    if (const auto q = read_quantity(cursor, decl.scope, spec.dimension, "`dropper`")) {
                        leftover(cursor);
                        if (check_positive(*q, "`dropper`")) m.drops_per_ml = q->typical;
                    }
                    break;
                case Field::note: {
                    m.note = note_from_word(read_word(cursor, spec));
                    read_by(cursor, decl.scope);
                    leftover(cursor);
                    break;
                }
                case Field::odour: m.odour = read_word(cursor, spec); leftover(cursor); break;
                case Field::role: m.role = read_word(cursor, spec); leftover(cursor); break;
                case Field::state: m.state = read_word(cursor, spec); leftover(cursor); break;
                case Field::moods: m.moods = read_words(tree, row, cursor, spec); break;
                case Field::impact:
                case Field::cost_tier:
                    if (const auto q = read_quantity(cursor, decl.scope, kNumber, fmt::format("`{}`", spec.word))) {
                        leftover(cursor);
                        const double value = q->typical.to_double();
                        if (value < spec.least || value > spec.most || !q->typical.is_whole()) {
                            report(Code::out_of_range, q->span,
                                   fmt::format("`{}` is a whole number from {:g} to {:g}", spec.word, spec.least, spec.most));
                        } else if (spec.field == Field::impact) {
                            m.impact = static_cast<int>(value);
                        }
                    }
                    break;
                case Field::keeps:
                    m.keeps_opened_months.reset();
                    m.keeps_months = read_keeps(tree, row, cursor, decl.scope, &m.keeps_opened_months);
                    break;
                case Field::contains: {
                    if (cursor.take_word("unknown")) {
                        leftover(cursor);
                        read_unknown(id, row, m);
                        break;
                    }
                    const bool only = cursor.take_word("only");
                    leftover(cursor);
                    read_contains(id, row, m, only);
                    break;
                }
                case Field::diluted:
                    read_diluted(cursor, decl.scope, m);
                    diluted_here = true;
                    break;
                case Field::source:
                    if (const SourceId s = read_source(cursor); s != kNone) m.sources.push_back(s);
                    break;
                case Field::family:
                case Field::part: read_text(cursor); break;
                case Field::process: read_word(cursor, spec); leftover(cursor); break;
                case Field::phototoxic: {
                    if (!cursor.is_word("yes") && !cursor.is_word("no")) {
                        report(Code::wrong_shape, cursor.done() ? cursor.before() : cursor.rest(),
                               fmt::format("`{}` is yes or no", spec.word));
                    } else {
                        cursor.take();
                        leftover(cursor);
                    }
                    break;
                }
                case Field::tenacity:
                case Field::melts:
                case Field::saponification:
                case Field::iodine: read_figure(cursor, decl.scope, spec, nullptr, nullptr); break;
                case Field::price: {
                    if (const auto q = read_quantity(cursor, decl.scope, Dimension{Dim::money, Dim::none}, "a price")) {
                        if (cursor.take_word("per")) read_amount(cursor, decl.scope);
                        if (cursor.is(AtomKind::string)) cursor.take();
                        leftover(cursor);
                    }
                    break;
                }
                case Field::also:
                case Field::remark: read_texts(tree, row, cursor); break;
                default: break;
            }
        },
        nullptr);

    // A density without a source of its own rests on the declaration's.
    if (m.density && m.density->source == kNone && !m.sources.empty()) m.density->source = m.sources.front();
    add_groups(m);
    const auto covered = known_share(m.contains);
    const double known = covered.value_or(0);
    m.composition_known = covered.has_value();
    if (decl.scope != kLibraryScope && known > 1 + 1e-9) {
        report(Code::composition_over_whole, m.header.name_span,
               fmt::format("what `{}` contains adds up to {:.4g} % at typical figures, and a whole is 100 %",
                           decl.name, known * 100));
    }
    m.known_typical = std::min(known, 1.0);
    m.header.broken = broken_ || decl.broken;
    if (m.dilution && !m.header.broken) {
        Material& neat = neat_.emplace(record, m).first->second;
        if (density_given) neat.density = density_above;  // of the oil before it is dissolved nothing new is said
        dissolve(m, density_given);
        // Of dilutions at other strengths: as much of each as holds the same oil.
        if (like != kNoDecl) {
            const MaterialId from = names_.at(like).record;
            if (neat_.count(from) > 0) {
                std::vector<MaterialId> above = strengths_[from];
                above.push_back(from);
                for (const MaterialId other : above)
                    m.counts_as.push_back({other, (m.dilution->share / neat_.at(other).dilution->share).to_double()});
                strengths_[record] = std::move(above);
                if (!diluted_here && !density_given) m.density = model_.materials[from].density;  // the same dilution
            }
        }
    }
    model_.materials[record] = std::move(m);
    // Limits on this very material: the library's, and for a changed copy those of what it is like.
    load_limits(decl.name, true);
    if (like != kNoDecl && decl.name != names_.at(like).name) load_limits(names_.at(like).name, true);
    end(id, record);
    return record;
}

std::optional<double> Elaborator::known_share(const std::vector<Constituent>& contains) const {
    std::optional<double> known;
    for (const auto& c : contains) {
        const Substance& s = model_.substances[c.substance];
        const bool parts = s.is_group && std::any_of(contains.begin(), contains.end(), [&](const Constituent& o) {
            return std::find(s.members.begin(), s.members.end(), o.substance) != s.members.end();
        });
        if (s.is_group && (s.members.empty() || parts)) continue;
        known = known.value_or(0) + c.fraction.typical;
    }
    return known;
}

/// `diluted 10 % in CARRIER`: w/w of the dilution.
void Elaborator::read_diluted(Cursor& cursor, std::uint32_t scope, Material& material) {
    const Span start = cursor.rest();
    const auto amount = read_amount(cursor, scope);
    if (!amount) return;
    if (!amount->percent) {
        report(amount->bare() ? Code::missing_unit : Code::wrong_dimension, amount->span,
               "how much of it is in the dilution is in per cent of the dilution's weight");
        return;
    }
    if ((amount->basis && *amount->basis != Basis::ww) || amount->of != OfWord::none) {
        report(Code::wrong_basis, amount->basis_span, "a dilution is w/w: so much of the oil in the weight of the whole")
            .note("a dilution made by volume must be weighed once, or worked out from both densities");
        return;
    }
    if (amount->is_range) {
        report(Code::unexpected_range, amount->span, "a dilution is one figure, not a range");
        return;
    }
    if (!check_positive(*amount, "what is in the dilution")) return;
    if (amount->typical > Rational(1)) {
        report(Code::out_of_range, amount->number_span, "a dilution holds at most 100 % of the oil");
        return;
    }
    if (!cursor.take_word("in")) {
        report(Code::missing_value, cursor.done() ? cursor.before() : cursor.rest(), "diluted in what? `in` and the name of a carrier are wanted after the percentage");
        return;
    }
    const auto name = read_name(cursor, scope, NameSpace::materials, {Kind::ingredient});
    if (name.decl == kNoDecl) return;
    leftover(cursor);
    const MaterialId in = this->material(name.decl);
    if (in == kNone || names_.at(name.decl).broken) {
        broken_ = true;
        return;
    }
    material.dilution = Dilution{in, amount->typical, start};
}

/// What the neat oil is becomes what its dilution is: composition, density, and what it counts as.
void Elaborator::dissolve(Material& m, bool density_stated) {
    const Material& carrier = model_.materials[m.dilution->in];
    const double share = m.dilution->share.to_double();
    for (auto& c : m.contains) {
        c.fraction.low *= share;
        c.fraction.typical *= share;
        c.fraction.high *= share;
    }
    for (const auto& c : carrier.contains) {
        const auto there = std::find_if(m.contains.begin(), m.contains.end(),
                                        [&](const Constituent& o) { return o.substance == c.substance; });
        Constituent& to = there != m.contains.end() ? *there : m.contains.emplace_back(Constituent{c.substance, {}, c.source, c.span});
        to.fraction.low += c.fraction.low * (1 - share);
        to.fraction.typical += c.fraction.typical * (1 - share);
        to.fraction.high += c.fraction.high * (1 - share);
    }
    m.known_typical = m.known_typical * share + (1 - share);
    for (auto& other : m.counts_as) other.share *= share;
    // The carrier is in the product as well, and so is what it counts as.
    if (share < 1) {
        const auto count = [&](MaterialId material, double of_it) {
            const auto there = std::find_if(m.counts_as.begin(), m.counts_as.end(),
                                            [&](const CountsAs& c) { return c.material == material; });
            if (there != m.counts_as.end()) {
                there->share += of_it;
            } else {
                m.counts_as.push_back({material, of_it});
            }
        };
        count(m.dilution->in, 1 - share);
        for (const auto& other : carrier.counts_as) count(other.material, other.share * (1 - share));
    }
    if (density_stated || share == 1) return;  // stated of the dilution itself
    // Volumes taken to add up: 1/d = share/d(oil) + (1 - share)/d(carrier).
    if (!m.density || !carrier.density || !(m.density->g_per_ml.typical > 0) || !(carrier.density->g_per_ml.typical > 0)) {
        m.density.reset();
        return;
    }
    const Range neat = m.density->g_per_ml;
    const Range other = carrier.density->g_per_ml;
    const auto mixed = [&](double oil, double in) { return 1 / (share / oil + (1 - share) / in); };
    m.density->g_per_ml = {mixed(neat.low, other.low), mixed(neat.typical, other.typical), mixed(neat.high, other.high),
                           neat.stated_typical};
    Source worked_out;
    worked_out.standing = Standing::derived;
    model_.texts.push_back(fmt::format("worked out from the densities of the oil and of {}, whose volumes are taken to add up",
                                       carrier.header.name));
    worked_out.text = model_.texts.back();
    worked_out.span = m.dilution->span;
    model_.sources.push_back(worked_out);
    m.density->source = static_cast<SourceId>(model_.sources.size() - 1);
    m.density->span = Span{};
}

/// `contains unknown`: what another oil contains says nothing of this one. A rule's budget, a
/// group without members, stays.
void Elaborator::read_unknown(DeclId id, std::uint32_t row, Material& material) {
    const SyntaxTree& tree = *names_.at(id).tree;
    std::erase_if(material.contains, [&](const Constituent& c) {
        const Substance& s = model_.substances[c.substance];
        return !s.is_group || !s.members.empty();
    });
    if (tree.rows[row].has_block) {
        report(Code::unused_block, tree.span(tree.rows[row].open, tree.rows[row].open + 1),
               "`contains unknown` takes no block: what is known of it is said without `unknown`, "
               "and the rest is unknown anyway");
    }
}

void Elaborator::read_contains(DeclId id, std::uint32_t block, Material& material, bool only) {
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    if (only) material.contains.clear();
    if (!tree.rows[block].has_block) {
        report(Code::no_rows, tree.head(tree.rows[block]), "`contains` needs a block of substances");
        return;
    }
    std::unordered_set<SubstanceId> here;
    for (std::uint32_t r = tree.children_begin(block); r < tree.children_end(block); r = tree.rows[r].next) {
        const Row& row = tree.rows[r];
        if (row.kind == RowKind::error || row.broken) broken_ = true;
        if (row.kind != RowKind::entry || row.broken || row.item_count == 0) continue;
        Cursor cursor(tree, tree.items_of(row)[0]);
        if (never_closed(tree.rows[decl.row]) && cursor.is(AtomKind::word) && find_field(kind_spec(decl.kind), cursor.text())) {
            broken_ = true;  // meant for the block around this one
            continue;
        }
        if (row.item_count > 1) {
            report(Code::unexpected_text, Cursor(tree, tree.items_of(row)[1]).whole(), "one substance a row");
            continue;
        }
        const bool none = cursor.take_word("none");
        const bool up_to = !none && cursor.is_word("up") && cursor.is_word("to", 1);
        if (up_to) cursor.skip(2);
        std::optional<Amount> amount;
        if (!none) {
            amount = read_amount(cursor, decl.scope);
            if (!amount) continue;
            if (!amount->percent) {
                report(amount->bare() ? Code::missing_unit : Code::wrong_dimension, amount->span,
                       "what an oil contains is in per cent of its weight");
                continue;
            }
            if ((amount->basis && *amount->basis != Basis::ww) || amount->of != OfWord::none) {
                report(Code::wrong_basis, amount->basis_span, "what an oil contains is w/w of the oil");
                continue;
            }
            if (amount->low.sign() < 0 || amount->high > Rational(1)) {
                report(amount->low.sign() < 0 ? Code::negative_amount : Code::out_of_range, amount->number_span,
                       "a share of an oil is from 0 to 100 %");
                continue;
            }
        }
        const auto name = read_name(cursor, decl.scope, NameSpace::substances, {Kind::substance, Kind::group});
        if (name.decl == kNoDecl) continue;
        const SourceId by = read_by(cursor, decl.scope);
        if (cursor.is(AtomKind::string)) cursor.take();
        leftover(cursor);
        const SubstanceId s = substance(name.decl);
        if (s == kNone) {
            broken_ = true;
            continue;
        }
        if (!here.insert(s).second) {
            report(Code::duplicate_row, name.span, fmt::format("`{}` stands in this composition twice", name.text));
            continue;
        }
        const auto at = std::find_if(material.contains.begin(), material.contains.end(),
                                     [&](const Constituent& c) { return c.substance == s; });
        if (none && decl.kind != Kind::lot) {
            if (at == material.contains.end()) {
                report(Code::none_absent, name.span,
                       fmt::format("`{}` isn't in what this is like, so it can't be taken out", name.text));
            } else {
                material.contains.erase(at);
            }
            continue;
        }
        Constituent c;
        c.substance = s;
        // A certificate's `none` is a figure: it was looked for.
        if (none) c.fraction = {0, 0, 0, true};
        else
            c.fraction = {up_to ? 0.0 : amount->low.to_double(), amount->typical.to_double(), amount->high.to_double(),
                          amount->stated_typical && !up_to};
        c.source = by;
        c.span = tree.head(row);
        if (at == material.contains.end()) {
            material.contains.push_back(c);
        } else {
            *at = c;
        }
    }
    if (material.contains.empty() && !broken_ && !only) {
        report(Code::no_rows, tree.head(tree.rows[block]), "`contains` holds no substance");
    }
}

/// For each group: the larger of its own row and the sum of its parts, so that a rule on the group sees all of it.
void Elaborator::add_groups(Material& material) {
    std::vector<SubstanceId> groups;
    for (const auto& c : material.contains) {
        for (const SubstanceId g : model_.substances[c.substance].groups) {
            if (std::find(groups.begin(), groups.end(), g) == groups.end()) groups.push_back(g);
        }
    }
    std::sort(groups.begin(), groups.end());
    for (const SubstanceId g : groups) {
        Range sum{0, 0, 0, true};
        for (const auto& c : material.contains) {
            const auto& in = model_.substances[c.substance].groups;
            if (std::find(in.begin(), in.end(), g) == in.end()) continue;
            sum.low += c.fraction.low;
            sum.typical += c.fraction.typical;
            sum.high += c.fraction.high;
        }
        sum.high = std::min(sum.high, 1.0);
        const auto own = std::find_if(material.contains.begin(), material.contains.end(),
                                      [&](const Constituent& c) { return c.substance == g; });
        if (own == material.contains.end()) {
            material.contains.push_back({g, sum, kNone, Span{}});
        } else {
            own->fraction.low = std::max(own->fraction.low, sum.low);
            own->fraction.typical = std::max(own->fraction.typical, sum.typical);
            own->fraction.high = std::max(own->fraction.high, sum.high);
        }
    }
}

SubstanceId Elaborator::substance(DeclId id) {
    if (!begin(id)) return names_.at(id).record;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const auto record = static_cast<SubstanceId>(model_.substances.size());
    model_.substances.emplace_back();
    names_.at(id).record = record;
    {
        Substance& s = model_.substances[record];
        s.header = header_of(decl);
        s.is_group = decl.kind == Kind::group;
    }
    Cursor head = after_name(decl);
    leftover(head);
    std::vector<SubstanceId> members;
    read_block(id, decl.row, kind_spec(decl.kind),
               [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
                   switch (spec.field) {
                       case Field::cas: {
                           const Span span = cursor.rest();
                           auto cas = read_text(cursor);
                           if (!cas.empty()) check_cas(cas, span);
                           model_.substances[record].cas = std::move(cas);
                           break;
                       }
                       case Field::members:
                           for (const auto& [member, span] : read_names(tree, row, cursor, decl.scope, NameSpace::substances,
                                                                        {Kind::substance, Kind::group})) {
                               if (names_.at(member).state == Decl::State::busy) {
                                   report(Code::like_cycle, span, "groups hold each other in a circle");
                                   continue;
                               }
                               if (const SubstanceId s = substance(member); s != kNone) members.push_back(s);
                           }
                           break;
                       case Field::source: read_source(cursor); break;
                       default: read_texts(tree, row, cursor); break;
                   }
               },
               nullptr);
    // Groups of groups: a member's members belong too.
    std::unordered_set<SubstanceId> seen(members.begin(), members.end());
    const std::size_t direct = members.size();  // each brings all below it
    for (std::size_t i = 0; i < direct && members.size() <= kMostMembers; ++i) {
        for (const SubstanceId deeper : model_.substances[members[i]].members) {
            if (seen.insert(deeper).second) members.push_back(deeper);
        }
    }
    if (members.size() > kMostMembers) {
        report(Code::out_of_range, decl.name_span,
               fmt::format("`{}` sums more than {} substances, and that is the limit", decl.name, kMostMembers));
        members.clear();
    }
    for (const SubstanceId m : members) {
        if (!model_.substances[m].is_group) model_.substances[m].groups.push_back(record);
    }
    model_.substances[record].members = std::move(members);
    model_.substances[record].header.broken = broken_;
    load_limits(decl.name, true);
    end(id, record);
    return record;
}

/// All groups of the library are read before any oil, so that every substance knows what it counts towards.
void Elaborator::load_groups() {
    for (const DeclId id : names_.library_of(Kind::group)) substance(id);
}

}  // namespace scruple
