package day

// ByUrgency is [Simulate] with the plain rule: the longest way to the end first.
func ByUrgency(p Project, trials int) (Outlook, error) {
	n, err := compile(p)
	if err != nil {
		return Outlook{}, err
	}
	return n.simulate(p, trials, newTables())
}
