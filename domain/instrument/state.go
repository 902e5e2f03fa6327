package instrument

// State is where an instrument stands with us. It follows from what is done with the instrument and
// is never set by hand.
type State string

// An instrument is Considered until it is bought or LetGo; Waiting in the house while no work on
// it has been accepted; InWork while a job is open; Ready when the work is done; Sold from the
// sale until it is handed over, whatever work is done on it then; Gone when it has left us.
const (
	Considered State = "considered"
	LetGo      State = "let_go"
	Waiting    State = "waiting"
	InWork     State = "in_work"
	Ready      State = "ready"
	Sold       State = "sold"
	Gone       State = "gone"
)

// FirstState returns the state of an instrument that was just entered.
func FirstState(o Ownership) State {
	if o == Offered {
		return Considered
	}
	return Waiting
}
