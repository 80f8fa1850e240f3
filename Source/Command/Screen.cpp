#include "Command/Screen.h"

#include "Text/Error.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdio>
#include <system_error>

namespace volvelle {

namespace {

constexpr std::size_t width = 80, textColumn = 16;

/// Why standard output first failed; 0: it did not.
int lost = 0;

void remember(bool written) {
    if (!written && lost == 0) lost = errno != 0 ? errno : EIO;
}

bool print(std::FILE* stream, std::string_view text) {
    return std::fwrite(text.data(), 1, text.size(), stream) == text.size();
}

bool isUnit(std::string_view word) {
    static constexpr std::array<std::string_view, 12> units{"Hz", "kHz", "m", "ms", "s",   "dB",
                                                            "V",  "Pa",  "%", "°C", "kPa", "bits"};
    const auto end = word.find_last_not_of(".,;:)");
    return std::find(units.begin(), units.end(), word.substr(0, end + 1)) != units.end();
}

bool endsInDigit(std::string_view line) {
    return !line.empty() && line.back() >= '0' && line.back() <= '9';
}

/// The length of the next word of `text`, together with a unit that must stay beside it.
std::size_t nextPiece(std::string_view text) {
    std::size_t end = std::min(text.find(' '), text.size());
    while (end < text.size() && endsInDigit(text.substr(0, end))) {
        const std::size_t next = std::min(text.find(' ', end + 1), text.size());
        if (!isUnit(text.substr(end + 1, next - end - 1))) break;
        end = next;
    }
    return end;
}

}  // namespace

std::size_t columnsOf(std::string_view text) {
    return static_cast<std::size_t>(
        std::count_if(text.begin(), text.end(), [](char c) { return (c & 0xC0) != 0x80; }));
}

std::string shortened(std::string_view text, std::size_t columns) {
    if (columnsOf(text) <= columns) return std::string(text);
    std::size_t kept = 0, end = 0;
    while (kept + 1 < columns || (text[end] & 0xC0) == 0x80) kept += (text[end++] & 0xC0) != 0x80 ? 1 : 0;
    return std::string(text.substr(0, end)) + "…";
}

std::string wrapped(std::string_view sentence, std::size_t indent) {
    const std::size_t first = std::min(sentence.find_first_not_of(' '), sentence.size());
    std::string out, line(sentence.substr(0, first));
    bool empty = true;
    for (sentence.remove_prefix(first); !sentence.empty();) {
        const std::string_view piece = sentence.substr(0, nextPiece(sentence));
        if (!empty && columnsOf(line) + 1 + columnsOf(piece) > width) {
            out += line.substr(0, line.find_last_not_of(' ') + 1) + "\n";
            line = std::string(first + indent, ' ');
            empty = true;
        }
        line.append(empty ? "" : " ").append(piece);
        empty = false;
        sentence.remove_prefix(std::min(piece.size() + 1, sentence.size()));
    }
    return out + line + "\n";
}

std::string labelled(std::string_view label, std::string_view text) {
    std::string line(label);
    if (columnsOf(label) >= textColumn) return line + "\n" + labelled("", text);
    // The blanks count as part of the first word, so that they are neither cut nor broken.
    const std::string body = wrapped(std::string(textColumn, ' ') + std::string(text), 0);
    return line + body.substr(columnsOf(label));
}

std::string capitalised(std::string sentence) {
    if (!sentence.empty() && sentence[0] >= 'a' && sentence[0] <= 'z')
        sentence[0] = static_cast<char>(sentence[0] - 'a' + 'A');
    return sentence;
}

void say(std::string_view text) {
    errno = 0;
    remember(print(stdout, text));
}

void sayNow(std::string_view text) {
    say(text);
    errno = 0;
    remember(std::fflush(stdout) == 0);
}

void finishSaying() {
    sayNow("");
    if (lost == 0 || lost == EPIPE) return;
    throw Error(ErrorKind::output, "cannot be written (" + std::generic_category().message(lost) + ")",
                "standard output", "Files that were asked for are made; send the text elsewhere");
}

Progress::Progress() : terminal_(isatty(STDERR_FILENO) == 1) {
}

void Progress::show(std::size_t done, std::size_t total) const {
    if (terminal_) print(stderr, fmt::format("\r{} of {} captures", done, total));
}

void Progress::show(std::string_view line) const {
    if (!terminal_) return;
    const std::string cut = shortened(line, width - 1);
    print(stderr, fmt::format("\r{}{:{}}", cut, "", width - 1 - columnsOf(cut)));
}

void Progress::clear() const {
    if (terminal_) print(stderr, fmt::format("\r{:79}\r", ""));
}

void complain(std::string_view message) {
    std::string line = "volvelle: ";
    for (const char c : message) line += static_cast<unsigned char>(c) < 0x20 || c == 0x7F ? '?' : c;
    line += '\n';
    print(stderr, line);
}

}  // namespace volvelle
