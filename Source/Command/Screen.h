#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace volvelle {

/// Columns that a text takes on a terminal: its code points.
std::size_t columnsOf(std::string_view text);

/// At most so many columns of it; an ellipsis shows that something was cut off.
std::string shortened(std::string_view text, std::size_t columns);

/// A sentence broken into lines of at most 80 columns between words, but not between a number and its unit;
/// later lines are indented by `indent` columns. Ends with a line feed. A word that is longer stands alone.
std::string wrapped(std::string_view sentence, std::size_t indent = 2);

/// A label, and a text in the columns from the seventeenth on.
std::string labelled(std::string_view label, std::string_view text);

/// The sentence with a capital first letter.
std::string capitalised(std::string sentence);

// Text for standard output. What cannot be written is remembered rather than thrown, so that work in progress
// is finished. One thread.

void say(std::string_view text);
/// The same, and the reader sees it now.
void sayNow(std::string_view text);
/// Throws Error{output} where any of it was lost; not where the reader closed a pipe, having seen enough.
void finishSaying();

/// "12 of 72 captures" on standard error, where that is a terminal. One thread at a time.
class Progress {
public:
    Progress();
    void show(std::size_t done, std::size_t total) const;
    void show(std::string_view line) const;  ///< in place of the line before, cut to 79 columns
    void clear() const;

private:
    bool terminal_;
};

/// One line on standard error, never with control characters.
void complain(std::string_view message);

}  // namespace volvelle
