package record

// Respirator finds a respirator by id.
func (s *Study) Respirator(id string) (Respirator, bool) {
	return find(s.Respirators, func(r Respirator) bool { return r.ID == id })
}

// Counter finds a counter by id.
func (s *Study) Counter(id string) (Counter, bool) {
	return find(s.Counters, func(c Counter) bool { return c.ID == id })
}

// Wearer finds a wearer by id.
func (s *Study) Wearer(id string) (Wearer, bool) {
	return find(s.Wearers, func(w Wearer) bool { return w.ID == id })
}

// Wearing finds a wearing by id.
func (s *Study) Wearing(id string) (Wearing, bool) {
	return find(s.Wearings, func(w Wearing) bool { return w.ID == id })
}

func find[T any](all []T, is func(T) bool) (T, bool) {
	for _, v := range all {
		if is(v) {
			return v, true
		}
	}
	var none T
	return none, false
}
