package site

var us, metric = units{}, units{isMetric: true}
