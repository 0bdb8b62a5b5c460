//! Codes of findings on files, whatever is in them.

use super::Code;

/// Nothing in it.
pub static EMPTY: Code = Code::error(
    "F001",
    "file is empty",
    "There is nothing in the file, not even a line of headings. Save the sheet again, and check \
     that it was the right sheet.",
);
/// A heading and nothing below it.
pub static HEADER_ONLY: Code = Code::error(
    "F002",
    "only a line of headings",
    "The file has headings but no line below them, so there is nothing to work on. Add the lines, \
     or save the sheet again with all its rows.",
);
/// Bytes that are not UTF-8.
pub static NOT_UTF8: Code = Code::error(
    "F003",
    "text is not UTF-8",
    "The file was saved in an older character set, so letters with accents and signs such as the \
     degree sign cannot be read safely. Save it again as `CSV UTF-8`, or choose UTF-8 as the \
     character set when saving.",
);
/// A byte-order mark.
pub static BYTE_ORDER_MARK: Code = Code::note(
    "F004",
    "byte-order mark skipped",
    "Some programs put an invisible mark before the first letter of a file. It does no harm here \
     and was skipped; nothing needs to be done.",
);
/// Not separated by commas.
pub static SEPARATOR: Code = Code::error(
    "F005",
    "columns not separated by commas",
    "Columns must be separated by commas. Spreadsheets set to a language with a decimal comma save \
     semicolons instead; save the file with commas as separator and points as decimal sign.",
);
/// A needed column is not there.
pub static COLUMN_MISSING: Code = Code::error(
    "F006",
    "column missing",
    "Every line needs a value in this column, and the file has no column of this name. Add it to \
     the line of headings and fill it in.",
);
/// Very likely a misspelt heading.
pub static COLUMN_MISSPELT: Code = Code::error(
    "F007",
    "heading misspelt",
    "The heading is close to a known one but not the same, or it is one with a unit other than \
     millimetres (`length (m)`), so its values would be left unread. Correct it, or give the column a quite different name if it is your own.",
);
/// A column nobody reads.
pub static COLUMN_UNKNOWN: Code = Code::warning(
    "F008",
    "column not read",
    "The heading is not one that is read here, so the column has no effect. Leave it if it is for \
     your own use; otherwise see the list of columns in the documentation.",
);
/// The same heading twice.
pub static COLUMN_TWICE: Code = Code::error(
    "F009",
    "heading stands twice",
    "Two columns have the same heading, and it is not clear which of them counts. Delete or rename \
     one of the two.",
);
/// Values under no heading.
pub static COLUMN_UNNAMED: Code = Code::error(
    "F010",
    "values without a heading",
    "There are values below an empty heading, so their meaning is not known. Name the column, or \
     delete it.",
);
/// Too many or too few cells.
pub static RAGGED: Code = Code::error(
    "F011",
    "line with too many or too few cells",
    "The line does not have as many cells as there are headings, so values may stand in the wrong \
     column. Most often a comma inside a text or a number is the cause: put such a text between \
     double quotes, and write numbers with a decimal point and without a thousands separator. What \
     else is wrong on such a line is not told until that is mended.",
);
/// Quotes that do not match.
pub static QUOTES: Code = Code::error(
    "F012",
    "double quotes do not match",
    "A cell that starts with a double quote must end with one, and a double quote inside it is \
     written twice. As it stands, it is not clear where the cell ends.",
);
/// A cell that a spreadsheet would run.
pub static FORMULA: Code = Code::error(
    "F013",
    "cell that a spreadsheet would run as a formula",
    "A cell that begins with =, @, a tab or a line break, or with + or - before anything but a \
     number, may be run as a formula when this file or a report made from it is opened in a \
     spreadsheet. Type the value itself.",
);
/// A cell beyond the limit.
pub static CELL_TOO_LONG: Code = Code::error(
    "F014",
    "cell too long",
    "A cell this long is hardly meant; often a missing double quote has swallowed the lines after \
     it. Shorten the text, and look for an unfinished quotation.",
);
/// Control characters.
pub static CONTROL: Code = Code::error(
    "F015",
    "control character in a cell",
    "The cell holds a character that cannot be seen or printed and would garble labels and \
     reports. Delete the cell and type it again.",
);
/// Marks that turn the direction of reading, and other invisible characters.
pub static INVISIBLE: Code = Code::error(
    "F016",
    "invisible character in a cell",
    "The cell holds a mark that turns the direction of reading or takes no width, so that a name \
     may look like another on screen and on labels. Delete the cell and type it again.",
);
/// Other lines above the headings.
pub static HEADINGS_LOWER: Code = Code::error(
    "F017",
    "headings not on the first line",
    "The file must start with the line of headings, and other lines, such as a title or a date, \
     stand above it. Delete them, or put such remarks into column note.",
);
/// A workbook that cannot be opened.
pub static BOOK: Code = Code::error(
    "F018",
    "workbook cannot be read",
    "The file has the name of a workbook (.xlsx or .ods), but it cannot be opened as one: it is \
     protected by a password, damaged, of another kind, or so large that it is no list of a job. \
     Open it in a spreadsheet and save it again under the same kind, without a password; or save \
     the sheet as `CSV UTF-8`.",
);
/// No sheet, or several, could be meant.
pub static SHEET: Code = Code::error(
    "F019",
    "which sheet is meant is not clear",
    "Of a workbook one sheet is read: the one that is named like the file is for (takeoff, rolls, \
     offcuts), or else the only one that has the headings within its first 30 rows. Rename the \
     sheet that is meant, or take the others out.",
);
/// A date where something else belongs.
pub static DATE: Code = Code::error(
    "F020",
    "a date where none belongs",
    "Spreadsheets turn what looks like a date, such as 3/4 or 5-10, into one as it is typed, and \
     the text is lost. Give the cells the format Text, then type the values again.",
);
/// A formula without a result.
pub static FAILED: Code = Code::error(
    "F021",
    "formula without a result",
    "The cell holds a formula whose result is an error, or whose result was never stored because \
     the workbook was written by a program that does not calculate. Mend the formula, or open the \
     workbook in a spreadsheet and save it again.",
);
/// Merged cells that say nothing certain.
pub static MERGED: Code = Code::error(
    "F022",
    "merged cells",
    "A value that stands in several merged cells does not say whether it holds for each row or for \
     all of them together, or for which of the columns. Undo the merging and fill in each cell.",
);
/// Merged cells whose words hold for each row.
pub static MERGED_FILLED: Code = Code::note(
    "F023",
    "merged cells read for each row",
    "Words in a cell that is merged over several rows (such as an area of the site) were taken for \
     each of these rows.",
);
/// Text above the headings of a sheet.
pub static ROWS_ABOVE: Code = Code::note(
    "F024",
    "rows above the headings not read",
    "The headings were found below other rows of the sheet, such as a title; those rows were left \
     out.",
);

/// Merged cells in which nothing stands.
pub static MERGED_EMPTY: Code = Code::warning(
    "F025",
    "merged cells in which nothing stands",
    "Cells of names, lengths or counts are merged over several rows, and hold nothing. Merging keeps the \
     value of one cell and drops the others, so one may have been lost. Undo the merging and see what \
     belongs into each cell.",
);
/// A smaller unit that comes to a larger one.
pub static OVERFULL: Code = Code::warning(
    "F026",
    "smaller unit as large as the one before it",
    "A length is written in two units, and its part in the smaller unit comes to one of the larger unit or \
     more, such as 12 ft 14 in. It is read as it stands (13 ft 2 in), but most often a digit is wrong. \
     Leave it if it is right.",
);
/// A letter that was lost when a text was decoded.
pub static LOST: Code = Code::error(
    "F030",
    "letter that was lost",
    "The cell holds the sign U+FFFD, which programs put in place of a letter that they could not read: most \
     often the list was once in an older character set and was opened as UTF-8. The letter itself is gone \
     from the file. Type it again, or go back to the list it came from and save that as `CSV UTF-8`.",
);
/// Rows of a sheet that are not shown.
pub static HIDDEN_ROWS: Code = Code::warning(
    "F081",
    "hidden rows were read",
    "Rows of the sheet are hidden, by hand or by a filter. They are read like the others, and who looks at \
     the sheet does not see them. Show all rows, and delete those that do not belong to the list.",
);
/// Columns of a sheet that are not shown.
pub static HIDDEN_COLUMNS: Code = Code::warning(
    "F083",
    "hidden columns were read",
    "Columns of the sheet are hidden, and something stands in them. They are read like the others, and who looks at \
     the sheet does not see what they say. Show all columns, and see whether it is meant.",
);
/// A hidden sheet of the right name.
pub static HIDDEN_SHEET: Code = Code::warning(
    "F082",
    "hidden sheet not read",
    "Hidden sheets are not read, and one of them has the name by which a sheet is looked for. Show it if it \
     is meant, or give it another name.",
);

/// A line that is no entry of the list.
pub static NO_ENTRY: Code = Code::error(
    "F060",
    "line that is no entry of the list",
    "Every line below the headings is an entry. A comment, a total, the headings once more, a line of units or a heading over \
     part of the list are none: delete the line. What such a heading says of the lines below it, such as an area of \
     the site, belongs into a column of each of them.",
);

/// Numbers alone in a column of inches and feet.
pub static MIXED_UNITS: Code = Code::warning(
    "F031",
    "a length without a unit among lengths in inches or feet",
    "A number alone is millimetres, whatever stands on the lines above it. Where other cells of the column are in inches or \
     feet, most likely this one is meant so, too, and pieces would be cut twenty-five times too small. Write the \
     unit behind every length of the column.",
);

/// All of them.
pub const ALL: &[&Code] = &[
    &EMPTY,
    &HEADER_ONLY,
    &NOT_UTF8,
    &BYTE_ORDER_MARK,
    &SEPARATOR,
    &COLUMN_MISSING,
    &COLUMN_MISSPELT,
    &COLUMN_UNKNOWN,
    &COLUMN_TWICE,
    &COLUMN_UNNAMED,
    &RAGGED,
    &QUOTES,
    &FORMULA,
    &CELL_TOO_LONG,
    &CONTROL,
    &INVISIBLE,
    &HEADINGS_LOWER,
    &BOOK,
    &SHEET,
    &DATE,
    &FAILED,
    &MERGED,
    &MERGED_FILLED,
    &ROWS_ABOVE,
    &MERGED_EMPTY,
    &OVERFULL,
    &LOST,
    &HIDDEN_ROWS,
    &HIDDEN_COLUMNS,
    &HIDDEN_SHEET,
    &NO_ENTRY,
    &MIXED_UNITS,
];
