// Package store keeps the salon's record in a database: GORM over SQLite, with
// versioned SQL migrations.
//
// Every query takes a Scope that says who asks; the zero Scope is refused.
// Each change writes one transaction: the rows, and an entry in the
// append-only record. Signed grooms, sign-offs, holds and permissions are
// never updated or deleted; triggers refuse it.
//
// The package decides nothing about competence: it hands domain values to
// assessment and stores what comes back. It imports no web package.
package store
