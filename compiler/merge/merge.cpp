#include "merge/merge.h"

#include <algorithm>

#include "merge/follow.h"
#include "merge/merger.h"
#include "syntax/parser.h"

namespace scruple {
namespace {

using namespace merging;

/// Of a property of the text the one that a side changed.
bool changed_side(bool base, bool ours, bool theirs) { return ours == base ? theirs : ours; }

/// As the files are written: byte order mark, line ends, the end of the last line.
std::string in_form(std::string text, const TextForm& form, bool plain) {
    if (!form.ended && text.ends_with('\n')) {
        text.pop_back();
        if (text.ends_with('\r')) text.pop_back();
    }
    std::string out = form.bom ? "\xEF\xBB\xBF" : "";
    if (!plain || !form.crlf) return out + text;
    for (const char c : text) {
        if (c == '\n') out += '\r';
        out += c;
    }
    return out;
}

bool readable(const std::string& text, const ResourceLimits& limits) {
    Bag bag;
    return parse(FileId{0}, text, limits, bag).complete;
}

std::uint32_t line_of(const Version& version, std::uint32_t at) {
    const auto end = version.text.begin() + std::min<std::ptrdiff_t>(at, static_cast<std::ptrdiff_t>(version.text.size()));
    return 1 + static_cast<std::uint32_t>(std::count(version.text.begin(), end, '\n'));
}

/// A text that has no lines has their form as well.
TextForm form_beside(const TextForm& form, std::string_view text, const TextForm& other) {
    TextForm out = form;
    if (text.find('\n') == std::string_view::npos) out.crlf = other.crlf;
    if (text.empty()) out.bom = other.bom;
    return out;
}

}  // namespace

MergeResult merge_recipes(std::string_view base, std::string_view ours, std::string_view theirs,
                          const MergeOptions& options) {
    MergeResult out;
    if (ours == base || ours == theirs || theirs == base) {
        out.text = ours == base ? theirs : ours;
        return out;
    }
    const TextForm base_form = form_beside(form_of(base), base, form_of(ours));
    const TextForm ours_form = form_beside(form_of(ours), ours, base_form);
    const TextForm theirs_form = form_beside(form_of(theirs), theirs, base_form);
    const bool plain = !base_form.mixed && !ours_form.mixed && !theirs_form.mixed;
    Version versions[3];
    const std::string_view texts[3] = {base, ours, theirs};
    for (std::uint8_t side = 0; side < 3; ++side) {
        Version& v = versions[side];
        read_version(v, texts[side], plain, options.limits);
        if (!v.mistake) continue;
        out.trouble = MergeResult::Trouble::unreadable;
        out.version = side;
        out.line = line_of(v, *v.mistake);
        return out;
    }
    Output merged;
    if (!Merger(versions[0], versions[1], versions[2], merged).file()) {
        out.trouble = MergeResult::Trouble::crowded;
        return out;
    }
    TextForm form;
    form.bom = changed_side(base_form.bom, ours_form.bom, theirs_form.bom);
    form.crlf = changed_side(base_form.crlf, ours_form.crlf, theirs_form.crlf);
    form.ended = merged.ends_in_conflict() || changed_side(base_form.ended, ours_form.ended, theirs_form.ended);
    std::string text = merged.finish(options, out.conflicts);
    if (out.conflicts.empty()) {
        if (!readable(text, options.limits)) {
            out.trouble = MergeResult::Trouble::fault;
            return out;
        }
        out.follows = follows_of(versions[0], versions[1], versions[2]);
    }
    out.text = in_form(std::move(text), form, plain);
    return out;
}

}  // namespace scruple
