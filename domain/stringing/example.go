package stringing

// exampleRow is a note of the example scale, with the wire by its number.
type exampleRow struct {
	strings   int
	gauge     Gauge
	overallMM float64 // 0: plain
	lengthMM  float64
}

// example is an illustrative scale of a grand of 1.85 m, all of it from memory: plain strings
// follow 52 mm × exp(0.0525 (88 − n)) down to note 34 and are shorter than that below; cores and
// covers are sized to tensions that the trade would call usual. It isn't a maker's.
var example = [...]exampleRow{
	{1, 22, 5.98, 1385},
	{1, 22, 5.67, 1371},
	{1, 22, 5.37, 1356},
	{1, 21, 5.09, 1342},
	{1, 21, 4.82, 1327},
	{1, 21, 4.56, 1313},
	{1, 20, 4.33, 1298},
	{1, 20, 4.1, 1284},
	{1, 20, 3.88, 1270},
	{1, 20, 3.68, 1255},
	{2, 19, 3.11, 1241},
	{2, 19, 2.96, 1226},
	{2, 19, 2.82, 1212},
	{2, 19, 2.68, 1198},
	{2, 19, 2.55, 1183},
	{2, 18, 2.43, 1169},
	{2, 18, 2.31, 1154},
	{2, 18, 2.2, 1140},
	{2, 18, 2.1, 1125},
	{2, 18, 2.0, 1111},
	{2, 17, 1.9, 1097},
	{2, 17, 1.81, 1082},
	{2, 17, 1.72, 1068},
	{2, 17, 1.64, 1053},
	{2, 17, 1.56, 1039},
	{2, 17, 1.49, 1024},
	{2, 17, 1.42, 1010},
	{3, 20, 0, 1120},
	{3, 20, 0, 1081},
	{3, 19, 0, 1042},
	{3, 19, 0, 1003},
	{3, 19, 0, 964},
	{3, 19, 0, 925},
	{3, 18.5, 0, 886},
	{3, 18.5, 0, 840},
	{3, 18.5, 0, 797},
	{3, 18.5, 0, 757},
	{3, 18, 0, 718},
	{3, 18, 0, 681},
	{3, 18, 0, 646},
	{3, 18, 0, 613},
	{3, 18, 0, 582},
	{3, 17.5, 0, 552},
	{3, 17.5, 0, 524},
	{3, 17.5, 0, 497},
	{3, 17.5, 0, 472},
	{3, 17.5, 0, 448},
	{3, 17, 0, 425},
	{3, 17, 0, 403},
	{3, 17, 0, 382},
	{3, 17, 0, 363},
	{3, 17, 0, 344},
	{3, 16.5, 0, 327},
	{3, 16.5, 0, 310},
	{3, 16.5, 0, 294},
	{3, 16.5, 0, 279},
	{3, 16.5, 0, 265},
	{3, 16, 0, 251},
	{3, 16, 0, 238},
	{3, 16, 0, 226},
	{3, 16, 0, 215},
	{3, 16, 0, 204},
	{3, 15.5, 0, 193},
	{3, 15.5, 0, 183},
	{3, 15.5, 0, 174},
	{3, 15.5, 0, 165},
	{3, 15.5, 0, 157},
	{3, 15, 0, 149},
	{3, 15, 0, 141},
	{3, 15, 0, 134},
	{3, 15, 0, 127},
	{3, 15, 0, 120},
	{3, 14.5, 0, 114},
	{3, 14.5, 0, 108},
	{3, 14.5, 0, 103},
	{3, 14.5, 0, 98},
	{3, 14, 0, 93},
	{3, 14, 0, 88},
	{3, 14, 0, 83},
	{3, 14, 0, 79},
	{3, 13.5, 0, 75},
	{3, 13.5, 0, 71},
	{3, 13.5, 0, 68},
	{3, 13.5, 0, 64},
	{3, 13, 0, 61},
	{3, 13, 0, 58},
	{3, 13, 0, 55},
	{3, 13, 0, 52},
}

// exampleNotes is the compass of the example scale.
const exampleNotes = len(example)

// Example returns the example scale up to a number of notes, at most as many as it has. It
// stands in for a scale that wasn't measured; whoever shows it must say that it is illustrative and
// from memory.
func Example(notes int) Scale {
	s := make(Scale, 0, exampleNotes)
	for i, r := range example[:max(0, min(notes, exampleNotes))] {
		s = append(
			s,
			Note{
				Number: i + 1, Strings: r.strings, LengthMM: r.lengthMM, CoreMM: r.gauge.MM(),
				OverallMM: r.overallMM,
			},
		)
	}
	return s
}
