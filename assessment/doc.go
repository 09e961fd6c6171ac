// Package assessment is what was seen and what it means: the assessed groom
// and its exact score, the observations it gives, the effect of incidents, and
// the standing of a skill with everything that speaks for and against it.
//
// All judgement of Tablehand is here, in pure functions of values: nothing is
// decided in a handler, a template, SQL or JavaScript. The package imports
// curriculum and its own sub-packages only; no web, template, driver or ORM
// package, no clock and no storage.
package assessment
