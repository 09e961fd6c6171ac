// Package exports turns the salon's record into files that other people read
// without Tablehand.
//
// It takes domain values, already read and already judged, and knows nothing
// of the server or the store. What leaves here holds no owner's name, no free
// text about an incident and no statement a person wrote: see the sheet
// "Read me" of the workbook for the list.
//
// Two workbooks of the same record are not the same bytes, because the order
// of the parts inside the file is not fixed. Compare what is in the cells, or
// the digests of the record, never the files.
package exports
