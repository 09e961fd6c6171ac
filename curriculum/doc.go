// Package curriculum is the standard an apprentice is held to: a programme of
// units and skills, the evidence each skill needs, the rubric a whole groom is
// marked with, and the words dogs and incidents are described in.
//
// A programme is one YAML file that a head groomer can edit. Read checks it
// completely and reports every mistake at once, each with its place in the
// file, an excerpt and what to do about it.
//
// The package knows nothing of people, dogs that were groomed, storage or
// pages. It imports no web, template, driver or ORM package, and nothing else
// of this module.
package curriculum
