// Package stringing is the physics of a piano's strings: pitch, wire, tension,
// breaking load, the load on the frame, and the wire to order.
//
// A string of length L and mass μ per metre sounds f where its tension is
//
//	T = (2 L f)² μ
//
// (Mersenne, Taylor). A Scale is the strings of an instrument note by note;
// everything else follows from it and from the pitch of A4.
//
// Invariants: lengths and diameters are in millimetres, masses in kilograms,
// forces in newtons, angles in degrees, and the names say so. At a fixed note,
// length and stress the share of the breaking load does not depend on the
// diameter. "Percent of break" never comes without the Basis of its breaking
// load, since the same wire is given loads that differ by half.
//
//	mu := stringing.PlainMass(0.785)
//	t := stringing.Tension(stringing.Frequency(88, 440), 54, mu) // 777 N
//
// It is a leaf and pure: it imports nothing of ours, knows no instrument, no
// workshop and no money, and holds no scale of a real maker. Floats are in
// their place here: these are measured quantities, and nothing of them is
// posted.
package stringing
