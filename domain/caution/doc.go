// Package caution gives the safety notes for work that can hurt somebody and the legal notes for a
// sale, with the piano's own figures worked in: string load, weight and how many people to lift it,
// solvent, ivory and protected timber.
//
// Every note is orientation and defers to local rules and licensed practice. Cautions never block
// anything: stops are decided in package clearance.
package caution
