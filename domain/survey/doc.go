// Package survey decides what the findings on one piano mean: whether a reading can be right, what
// it is in the point's own unit, and what all readings of a point come to (unknown, sound, wants
// attention, must be dealt with), in trade words.
//
// It doesn't decide which points exist and where their limits lie (package catalogue), nor which
// work a judgement calls for (package scope).
package survey
