// Package stringing computes a piano's strings: pitch, wire, tension, breaking load, the load on
// the frame, and the wire to order.
//
// A string of length L and mass μ per metre sounds f at the tension
//
//	T = (2 L f)² μ
//
// (Mersenne, Taylor). A Scale is the strings of an instrument note by note; everything else follows
// from it and from the pitch of A4.
//
// Invariants: lengths and diameters are in millimetres, masses in kilograms, forces in newtons,
// angles in degrees, and the names say so. At a fixed note and length the percentage of the
// breaking load doesn't depend on the diameter while the tensile strength is the same. A percentage
// never comes without the Basis of its breaking load, since published loads of one wire differ by
// half.
//
//	mu := stringing.PlainMass(0.785)
//	t := stringing.Tension(stringing.Frequency(88, 440), 54, mu) // 777 N
//
// The package is pure and imports nothing of ours; it knows no instrument, workshop or money, and
// holds no real maker's scale. It uses floats: these are measured quantities, never posted.
package stringing
