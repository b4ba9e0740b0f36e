package words

import "lanetally/site/format"

var us, metric = format.Units{}, format.Units{IsMetric: true}
