// What the pages draw with, and no more: vendor.sh bundles it. A chart in chart.go of another kind needs its part named here.
import { BarChart, LineChart } from 'echarts/charts'
import { GridComponent, MarkLineComponent, TooltipComponent } from 'echarts/components'
import { getInstanceByDom, init, use } from 'echarts/core'
import { LabelLayout } from 'echarts/features'
import { SVGRenderer } from 'echarts/renderers'

use([BarChart, LineChart, GridComponent, LabelLayout, MarkLineComponent, TooltipComponent, SVGRenderer])

export { getInstanceByDom, init }
