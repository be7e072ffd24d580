// Package register reads what the user knows about the fleet: the files
// systems.csv, channels.csv, events.csv and instruments.csv of the register
// folder, which people edit in a spreadsheet or a text editor.
//
//  1. A file becomes a sheet: a header and rows of cells with their line numbers.
//     Comma, semicolon or tab, quotes, byte order mark, line ends, blank lines,
//     lines that begin with # and the order of columns are the user's choice.
//  2. Each row is read by the columns of its table. A cell that cannot be read
//     leaves its field unknown; a row that cannot be told apart is left out.
//  3. Rows are checked against each other: duplicates, systems nobody listed,
//     channels that contradict.
//
// A mistake never stops a run and is never mended by a guess. It becomes a
// [RowError] with its file, line, column and value, and what to write instead;
// everything else goes on. Every cell may be empty: empty means unknown, and
// results that suffer from it say so.
//
// Records are kept in events.csv and corrected by later rows, never by edits: a row
// that corrects another takes its place, and [Register.Book] still has both.
//
// Rows have a canonical text ([Register.ReadingRows], [Register.AnalysisRows],
// [Register.RecordRows], [Register.FleetRows]) for fingerprints: it changes when a row's meaning
// changes, and not when rows, columns or blanks are moved about.
package register
