// Package export copies tables out of the dataset, for spreadsheets and for
// whoever should have some systems' rows and no others'.
//
//  1. A [Selection] says which tables, which systems and which period.
//  2. [Selection.Rows] reads its rows piece by piece, each row with the system that the
//     file's path says, so that what is copied needs no path.
//  3. [CSV] and [Parquet] write one table; [Workbook] writes several into one
//     spreadsheet file, a sheet for each.
//
// What leaves is safe to open: a spreadsheet takes no text of ours for a formula,
// times are real dates (UTC), numbers are numbers. The same dataset and selection give
// the same bytes.
package export
