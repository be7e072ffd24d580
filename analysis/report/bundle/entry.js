// What the report's charts use of the chart engine; the rest is shaken off.
export { init, connect, disconnect, registerTheme, version } from 'echarts/core';

import { use } from 'echarts/core';
import { LineChart, ScatterChart, HeatmapChart, BoxplotChart, BarChart, CustomChart } from 'echarts/charts';
import {
  GridComponent, TooltipComponent, LegendComponent, TitleComponent, DataZoomComponent,
  MarkLineComponent, MarkAreaComponent, MarkPointComponent, VisualMapComponent,
  CalendarComponent, ToolboxComponent, DatasetComponent, TransformComponent,
  AriaComponent, AxisPointerComponent, GraphicComponent, BrushComponent,
} from 'echarts/components';
import { UniversalTransition } from 'echarts/features';
import { CanvasRenderer, SVGRenderer } from 'echarts/renderers';

use([
  LineChart, ScatterChart, HeatmapChart, BoxplotChart, BarChart, CustomChart,
  GridComponent, TooltipComponent, LegendComponent, TitleComponent, DataZoomComponent,
  MarkLineComponent, MarkAreaComponent, MarkPointComponent, VisualMapComponent,
  CalendarComponent, ToolboxComponent, DatasetComponent, TransformComponent,
  AriaComponent, AxisPointerComponent, GraphicComponent, BrushComponent,
  UniversalTransition, CanvasRenderer, SVGRenderer,
]);
