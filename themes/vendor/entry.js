// What the pages draw with, and nothing else: every further chart or component
// is paid for by each reader of each site. The names are the library's own.
import { use } from "echarts/core";
import { BarChart, CustomChart, LineChart, ScatterChart } from "echarts/charts";
import {
  AriaComponent, // patterns, so that bars differ in more than colour
  GridComponent,
  LegendComponent, // with the scrolling form, for many configurations
  MarkLineComponent,
  TitleComponent, // a saved picture needs its title inside
  TooltipComponent,
} from "echarts/components";
import { SVGRenderer } from "echarts/renderers";

use([
  BarChart,
  CustomChart,
  LineChart,
  ScatterChart,
  AriaComponent,
  GridComponent,
  LegendComponent,
  MarkLineComponent,
  TitleComponent,
  TooltipComponent,
  SVGRenderer,
]);

export * from "echarts/core";
