#include "merge/output.h"

#include <algorithm>

namespace scruple::merging {
namespace {

std::string_view first_line(std::string_view text) {
    return text.substr(0, std::min(text.find('\n'), text.size() - 1) + 1);
}

std::string_view last_line(std::string_view text) {
    const auto before = text.size() < 2 ? std::string_view::npos : text.rfind('\n', text.size() - 2);
    return before == std::string_view::npos ? text : text.substr(before + 1);
}

void marker(std::string& out, char mark, const MergeOptions& options, std::string_view label) {
    out.append(options.marker_size, mark);
    if (!label.empty()) (out += ' ') += label;
    out += '\n';
}

}  // namespace

void Output::settled(std::string_view lines) {
    if (lines.empty()) return;
    if (parts_.empty() || parts_.back().conflict) parts_.emplace_back();
    parts_.back().text += lines;
}

void Output::conflict(const Sides& sides, MergeConflict about, bool whole) {
    if (parts_.empty() || !parts_.back().conflict) parts_.emplace_back();
    Part& part = parts_.back();
    part.conflict = true;
    part.whole |= whole;
    part.text += sides.ours;
    part.base += sides.base;
    part.theirs += sides.theirs;
    part.about.push_back(std::move(about));
}

std::string Output::finish(const MergeOptions& options, std::vector<MergeConflict>& conflicts) const {
    std::string out;
    std::uint32_t line = 1;
    std::size_t counted = 0;
    for (const Part& part : parts_) {
        if (!part.conflict) {
            out += part.text;
            continue;
        }
        std::string_view ours = part.text, theirs = part.theirs;
        std::string_view behind;
        if (!part.whole && options.style != ConflictStyle::diff3) {
            while (!ours.empty() && !theirs.empty() && first_line(ours) == first_line(theirs)) {
                out += first_line(ours);
                theirs.remove_prefix(first_line(ours).size());
                ours.remove_prefix(first_line(ours).size());
            }
            std::size_t shared = 0;
            const std::string_view all = ours;
            while (!ours.empty() && !theirs.empty() && last_line(ours) == last_line(theirs)) {
                shared += last_line(ours).size();
                theirs.remove_suffix(last_line(ours).size());
                ours.remove_suffix(last_line(ours).size());
            }
            behind = all.substr(all.size() - shared);
        }
        line += static_cast<std::uint32_t>(std::count(out.begin() + static_cast<std::ptrdiff_t>(counted), out.end(), '\n'));
        counted = out.size();
        for (MergeConflict about : part.about) {
            about.line = line;
            conflicts.push_back(std::move(about));
        }
        marker(out, '<', options, options.ours);
        out += ours;
        if (options.style != ConflictStyle::merge) {
            marker(out, '|', options, options.base);
            out += part.base;
        }
        marker(out, '=', options, "");
        out += theirs;
        marker(out, '>', options, options.theirs);
        out += behind;
    }
    return out;
}

}  // namespace scruple::merging
