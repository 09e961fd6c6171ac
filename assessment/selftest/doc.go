// Package selftest holds the calculations of this build against reference cases:
// inputs with the values that come out of them, taken from print where there is
// a print and from independent calculations otherwise.
//
// Read takes a file of cases apart and refuses whatever it does not know. Each
// method has one adapter, which reads the inputs of a case and calls the
// calculation exactly as the rest of the program does. Run compares every value
// of every case and returns one Result for each.
//
// It shows that the arithmetic of this build is right on this computer. It shows
// nothing about a record: whether what was marked was seen, or marked rightly.
package selftest
