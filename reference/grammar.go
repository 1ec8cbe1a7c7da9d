package reference

// Grammar is what a regime prints and demands.
type Grammar struct{}

func (g Grammar) check(bad func(string, ...any)) {}
