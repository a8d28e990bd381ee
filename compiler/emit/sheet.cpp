// The page in plain text for a terminal or a printer: nothing wider than asked, and nothing said by
// colour alone.
#include <algorithm>

#include "base/text.h"
#include "emit/emit.h"
#include "emit/page.h"
#include "emit/table.h"
#include "emit/words.h"

namespace scruple {

using namespace emit;

namespace {

constexpr std::size_t kIndent = 2;
constexpr std::size_t kNarrowestPage = 40;

std::string_view color_of(Tone tone) {
    switch (tone) {
        case Tone::plain: return "";
        case Tone::good: return "\x1b[32m";
        case Tone::warning: return "\x1b[33m";
        case Tone::bad: return "\x1b[1;31m";
    }
    return "";
}

class TextPage {
public:
    explicit TextPage(const SheetOptions& options)
        : color_(options.color), width_(std::max(options.width, kNarrowestPage)) {}

    std::string print(const Page& page) {
        title(page);
        bool after_heading = true;
        for (const Block& block : page.blocks) {
            if (block.kind == Block::Kind::heading) {
                out_ += '\n';
                heading(block.text);
                after_heading = true;
                continue;
            }
            const bool introduced = block.kind == Block::Kind::items && lead_in_;
            if (!after_heading && !introduced) out_ += '\n';
            after_heading = false;
            lead_in_ = block.kind == Block::Kind::paragraph && !block.text.empty() &&
                       block.text.back() == ':';
            print(block);
        }
        return std::move(out_);
    }

private:
    void line(std::string_view text, Tone tone = Tone::plain) {
        const std::string_view color = color_ ? color_of(tone) : std::string_view();
        out_ += color;
        out_ += text;
        if (!color.empty()) out_ += "\x1b[0m";
        out_ += '\n';
    }

    /// `first` stands before the first line, later lines are indented as far.
    void hanging(std::string_view first, std::string_view text, Tone tone = Tone::plain) {
        const std::size_t in = display_width(first);
        std::string lead(first);
        for (const std::string& part : fold(text, width_ > in ? width_ - in : 1)) {
            line(part.empty() ? std::string() : lead + part, tone);
            lead.assign(in, ' ');
        }
    }

    void title(const Page& page) {
        const std::size_t taken = display_width(page.title) + display_width(page.id);
        const std::string_view bold = color_ ? "\x1b[1m" : "";
        const std::string_view end = color_ ? "\x1b[0m" : "";
        if (taken + 2 <= width_) {
            out_.append(bold).append(page.title).append(end);
            out_.append(width_ - taken, ' ');
            line(page.id);
        } else {
            hanging("", page.title);
            hanging("", page.id);
        }
        line(std::string(width_, '='));
        std::string_view rest = page.doc;
        while (!rest.empty()) {
            const std::size_t end_of_line = rest.find('\n');
            hanging(std::string(kIndent, ' '), plain(rest.substr(0, end_of_line)));
            rest = end_of_line == std::string_view::npos ? std::string_view()
                                                         : rest.substr(end_of_line + 1);
        }
        if (!page.doc.empty()) out_ += '\n';
    }

    void heading(std::string_view text) {
        std::string upper;
        for (char c : text) upper += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
        if (color_) upper = "\x1b[1m" + upper + "\x1b[0m";
        line(upper);
    }

    void print(const Block& block) {
        const std::string indent(kIndent, ' ');
        switch (block.kind) {
            case Block::Kind::heading: break;
            case Block::Kind::paragraph: hanging(indent, block.text, block.tone); break;
            case Block::Kind::facts: {
                std::size_t labels = 0;
                for (const auto& fact : block.facts)
                    labels = std::max(labels, display_width(fact.first));
                labels = std::min(labels, width_ / 3);
                for (const auto& [label, text] : block.facts) {
                    hanging(indent + pad_right(label, labels + 2), text, block.tone);
                }
                break;
            }
            case Block::Kind::items:
                for (const std::string& item : block.items)
                    hanging(indent + "- ", item, block.tone);
                break;
            case Block::Kind::numbered: {
                const std::size_t digits = std::to_string(block.items.size()).size();
                std::size_t number = 0;
                for (const std::string& item : block.items) {
                    hanging(indent + pad_left(std::to_string(++number), digits) + ". ", item);
                }
                break;
            }
            case Block::Kind::table:
                for (const std::string& row : layout(block.table, kIndent, width_)) line(row);
                break;
        }
    }

    bool color_;
    std::size_t width_;
    bool lead_in_ = false;  // the block before ends in a colon: its list follows at once
    std::string out_;
};

}  // namespace

std::string emit::page_text(const Page& page, const SheetOptions& options) {
    return TextPage(options).print(page);
}

std::string emit_product_sheet(const Document& document, ProductId product,
                               const SheetOptions& options) {
    return page_text(product_page(document, product), options);
}

std::string emit_bench_sheet(const Document& document, BenchId bench, const SheetOptions& options) {
    return page_text(bench_page(document, bench), options);
}

std::string emit_blend_sheet(const Document& document, BlendId blend, const SheetOptions& options) {
    return page_text(blend_page(document, blend), options);
}

std::string emit_sheet(const Document& document, const SheetOptions& options) {
    std::string out;
    auto add = [&](std::string sheet) {
        if (!out.empty()) out += "\n\n";
        out += sheet;
    };
    for (BenchId bench : document.benches) add(emit_bench_sheet(document, bench, options));
    for (BlendId blend : document.blends) add(emit_blend_sheet(document, blend, options));
    for (ProductId product : document.products) add(emit_product_sheet(document, product, options));
    return out;
}

}  // namespace scruple
