#include "Text/Csv.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace volvelle {
namespace {

using Cells = std::vector<std::string>;

CsvTable table(std::string_view text, const CsvOptions& options = {}) {
    return CsvTable::parse(text, "t.csv", options);
}

template <typename Act>
std::string messageOf(Act act) {
    try {
        act();
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::input);
        return error.what();
    }
    return "no error";
}

std::string refusal(std::string_view text) {
    return messageOf([&] { table(text); });
}

Cells cellsOf(const CsvTable& read, std::size_t row) {
    Cells cells;
    for (std::size_t i = 0; i < read.columns().size(); ++i) cells.emplace_back(read.rows()[row].cell(i));
    return cells;
}

/// Cells of what is awkward in a table.
rc::Gen<std::string> awkwardCell() {
    return rc::gen::container<std::string>(rc::gen::elementOf(std::string("ab ,\"\n\r\t#;'0-")));
}

RC_GTEST_PROP(Csv, WhatIsWrittenIsReadBack, ()) {
    const auto width = *rc::gen::inRange<std::size_t>(1, 5);
    const auto rows =
        *rc::gen::container<std::vector<Cells>>(rc::gen::container<Cells>(width, awkwardCell()));
    CsvWriter writer;
    writer.comment("of random cells");
    Cells header;
    for (std::size_t i = 0; i < width; ++i) header.push_back("c" + std::to_string(i));
    writer.row(header);
    for (const auto& row : rows) writer.row(row);
    const CsvTable read = table(writer.text(), {.hashComments = true});
    RC_ASSERT(read.columns() == header);
    RC_ASSERT(read.rows().size() == rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) RC_ASSERT(cellsOf(read, i) == rows[i]);
}

RC_GTEST_PROP(Csv, AnyTextIsReadOrRefusedWithItsSource, ()) {
    const auto text =
        *rc::gen::container<std::string>(rc::gen::elementOf(std::string("ab,\"\n\r \t#1.\xC3\xA4")));
    try {
        table(text, {.hashComments = true});
    } catch (const Error& error) {
        RC_ASSERT(error.kind() == ErrorKind::input);
        RC_ASSERT(error.where().starts_with("t.csv"));
    }
}

TEST(Csv, LineEndsByteOrderMarkAndBlankLinesMakeNoDifference) {
    for (const char* text : {"a,b\n1,2\n3,4\n", "a,b\r\n1,2\r\n3,4\r\n", "a,b\n1,2\n3,4",
                             "\xEF\xBB\xBF"
                             "a,b\n1,2\n3,4\n",
                             "\n\n a , b \n\n1,2\n \t\n3,4\n\n", "\"a\",\"b\"\n \"1\" ,2\n3,\"4\"\n"}) {
        const CsvTable read = table(text);
        EXPECT_EQ(read.columns(), (Cells{"a", "b"})) << text;
        ASSERT_EQ(read.rows().size(), 2U) << text;
        EXPECT_EQ(read.rows()[0].number("a"), 1) << text;
        EXPECT_EQ(read.rows()[1].number("b"), 4) << text;
    }
}

TEST(Csv, LineNumbersCountEveryLineOfTheFile) {
    const CsvTable read = table("# c\na,b\n\n1,\"x\ny\"\n# d\n2,z\n", {.hashComments = true});
    EXPECT_EQ(read.headerLine(), 2U);
    EXPECT_EQ(read.rows()[0].line(), 4U);
    EXPECT_EQ(read.rows()[0].text("b"), "x\ny");
    EXPECT_EQ(read.rows()[1].line(), 7U);
    EXPECT_EQ(table("a\n1\n").rows()[0].line(), 2U);
}

TEST(Csv, QuotedFieldsHoldAnything) {
    const CsvTable read = table("a,b\n\"1,\"\"2\"\"\n\",\" x \"\n");
    EXPECT_EQ(read.rows()[0].cell(0), "1,\"2\"\n");
    EXPECT_EQ(read.rows()[0].cell(1), " x ");
    EXPECT_EQ(read.rows()[0].text("b"), "x");
}

TEST(Csv, BadTablesAreRefusedWithTheirLine) {
    EXPECT_EQ(refusal(""), "t.csv: holds no table. The first row names the columns, with commas between");
    EXPECT_EQ(refusal("\n \n"),
              "t.csv: holds no table. The first row names the columns, with commas between");
    EXPECT_EQ(refusal("a,b\n1,2\n3\n"),
              "t.csv, line 3: 1 field in a table of 2 columns. Give every row one field for each column");
    EXPECT_EQ(refusal("a,b\n1,2,3\n"),
              "t.csv, line 2: 3 fields in a table of 2 columns. Give every row one field for each column");
    EXPECT_EQ(refusal("a,b\n1,\"2\n3,4\n"),
              "t.csv, line 2: a quoted field has no closing quote. Close it with \"");
    EXPECT_EQ(refusal("a\n\"1\"2\n"),
              "t.csv, line 2: text follows the closing quote of a field. Write \"\" for a quote within a "
              "quoted field");
    EXPECT_EQ(refusal("a,b,a\n"), "t.csv, line 1: column 'a' stands twice. Keep one of them");
    EXPECT_EQ(refusal("a,,b\n"),
              "t.csv, line 1: column 2 has no name. The first row names the columns, with commas between");
    EXPECT_EQ(refusal("a\n\xFF\n"),
              "t.csv, line 2: is not UTF-8 text. Check that it is the right file, and save it as plain text "
              "in UTF-8");
}

TEST(Csv, MissingAndUnknownColumnsSuggestWhatWasMeant) {
    const CsvTable read = table("file,drive,angel_deg,colour\nx,y,1,red\n");
    EXPECT_NO_THROW(read.requireColumns({"file", "drive"}));
    EXPECT_EQ(messageOf([&] {
                  read.requireColumns({"file", "angle_deg"});
              }),
              "t.csv, line 1: column 'angle_deg' is missing. Did you mean it by 'angel_deg'?");
    EXPECT_EQ(messageOf([&] { read.requireColumns({"orbit"}); }),
              "t.csv, line 1: column 'orbit' is missing. Name it in the first row (the columns are file, "
              "drive, angel_deg, "
              "colour)");
    EXPECT_EQ(messageOf([&] {
                  read.refuseOtherColumns({"file", "drive", "angle_deg"});
              }),
              "t.csv, line 1: column 'angel_deg' is not known. Did you mean 'angle_deg'? Known are file, "
              "drive, angle_deg");
    EXPECT_EQ(messageOf([&] {
                  read.refuseMisspeltColumns({"file", "drive", "angle_deg"});
              }),
              "t.csv, line 1: column 'angel_deg' is not known. Did you mean 'angle_deg'? If not, give it a "
              "name that is less "
              "alike");
    EXPECT_NO_THROW(read.refuseMisspeltColumns({"file", "drive", "stance"}));
    EXPECT_EQ(messageOf([&] { table("file;drive\nx;y\n").requireColumns({"file"}); }),
              "t.csv, line 1: column 'file' is missing. Put commas between the fields");
}

TEST(Csv, CellsAreCheckedWithLineAndColumn) {
    const CsvTable read = table("a,b,c\n1.5,x,\n2.5,7,up\n");
    const CsvRow& row = read.rows()[0];
    EXPECT_EQ(row.number("a", Range::between(0, 2)), 1.5);
    EXPECT_EQ(read.rows()[1].wholeNumber("b", 0, 9), 7);
    EXPECT_EQ(row.optionalNumber("c"), std::nullopt);
    EXPECT_EQ(row.optionalNumber("d"), std::nullopt);
    EXPECT_FALSE(row.has("c"));
    EXPECT_EQ(row.text("d"), "");
    EXPECT_EQ(messageOf([&] { row.number("a", Range::between(2, 3)); }),
              "t.csv, line 2: a is 1.5, outside its range. Write a number from 2 to 3");
    EXPECT_EQ(messageOf([&] { row.number("b"); }),
              "t.csv, line 2: b is 'x', not a number. Write a number of any size");
    EXPECT_EQ(messageOf([&] { row.number("c"); }), "t.csv, line 2: c is empty. Write a number of any size");
    EXPECT_EQ(read.rows()[1].choice("c", {"down", "up"}), 1U);
    EXPECT_EQ(messageOf([&] {
                  row.choice("b", {"down", "up"});
              }),
              "t.csv, line 2: b is 'x', which is not known. Known are down, up");
    EXPECT_EQ(std::string(row.error("a", "is odd", "Make it even").what()),
              "t.csv, line 2: a is odd. Make it even");
}

TEST(Csv, RowsFollowATableThatMoves) {
    CsvTable first = table("a\n1\n");
    CsvTable second = std::move(first);
    EXPECT_EQ(second.rows()[0].number("a"), 1);
    CsvTable third = table("b\n2\n");
    third = std::move(second);
    EXPECT_EQ(third.rows()[0].where(), "t.csv, line 2");
    EXPECT_EQ(third.rows()[0].number("a"), 1);
}

TEST(Csv, QuotesOnlyWhereNeeded) {
    EXPECT_EQ(quotedCell("plain text"), "plain text");
    EXPECT_EQ(quotedCell("a,b"), "\"a,b\"");
    EXPECT_EQ(quotedCell("say \"x\""), "\"say \"\"x\"\"\"");
    EXPECT_EQ(quotedCell(" x"), "\" x\"");
    EXPECT_EQ(quotedCell("#1"), "\"#1\"");
    CsvWriter writer;
    writer.comment("one\ntwo");
    writer.comment("");
    writer.row({"a", "b"});
    writer.row({"", "1"});
    EXPECT_EQ(writer.text(), "# one\n# two\n#\na,b\n,1\n");
}

}  // namespace
}  // namespace volvelle
