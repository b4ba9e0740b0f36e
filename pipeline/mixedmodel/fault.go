package mixedmodel

import "fmt"

// Kind tells what keeps a model from being fitted or a question from being answered.
type Kind string

// The kinds of fault. They are words for people too.
const (
	Shape         Kind = "shape"          // slices of unequal length, an index out of range, a level without a row
	NotFinite     Kind = "not finite"     // an infinite or missing number came in, or the arithmetic overflowed
	FewRows       Kind = "too few rows"   // rows <= fixed covariates + components of random effects
	SingularFixed Kind = "singular fixed" // a fixed covariate is a combination of those before it (a constant beside an intercept)
	OneLevel      Kind = "one level"      // a factor has a single level
	ConstantSlope Kind = "constant slope" // the covariate of the random slope does not vary
	Confounded    Kind = "confounded"     // a component cannot be told from the fixed covariates, the residual or earlier components
	NoResidual    Kind = "no residual"    // the model explains every row exactly: there is no residual variance
	NotConverged  Kind = "not converged"  // the search for theta did not settle
	NoVariance    Kind = "no variance"    // a combination whose estimate has no variance has no degrees of freedom
)

// Fault is the error of this package. Name is the covariate, factor or component concerned, empty where none is.
type Fault struct {
	Kind   Kind
	Name   string
	Detail string
}

// Error is one line: kind, name, what was found.
func (f *Fault) Error() string {
	if f.Name == "" {
		return fmt.Sprintf("mixed model: %s: %s", f.Kind, f.Detail)
	}
	return fmt.Sprintf("mixed model: %s: %s: %s", f.Kind, f.Name, f.Detail)
}

func fault(kind Kind, name, format string, arguments ...any) *Fault {
	return &Fault{Kind: kind, Name: name, Detail: fmt.Sprintf(format, arguments...)}
}
