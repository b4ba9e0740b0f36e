// Draws every chart of the page from the JSON beside it. The JSON holds no code and none is made from it.
(function () {
    'use strict';
    var drawn = [];

    // A viewBox lets print scale the drawing to the sheet.
    function fit(chart, place) {
        var svg = place.querySelector('svg');
        if (svg) {
            svg.setAttribute('viewBox', '0 0 ' + chart.getWidth() + ' ' + chart.getHeight());
        }
    }

    function draw(island) {
        var place = document.getElementById(island.dataset.target);
        var chart = echarts.init(place, null, { renderer: 'svg' });
        chart.setOption(JSON.parse(island.textContent));
        fit(chart, place);
        drawn.push({ chart: chart, place: place });
    }

    function resize() {
        drawn.forEach(function (one) {
            one.chart.resize();
            fit(one.chart, one.place);
        });
    }

    document.querySelectorAll('script.chart-option').forEach(draw);
    window.addEventListener('resize', resize);
})();
