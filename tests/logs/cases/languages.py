"""Column names of other languages, decimal commas, semicolons."""

from tests.logs.loggers import BAR, KMH, KPA, MBAR, ONE, PERCENT, RPM, C, Case, c, wide

_HOW = {"sep": ";", "decimal": ","}

CASES: list[Case] = [
    wide("German", [
        c("Motordrehzahl [U/min]", 850, 3600, engine_speed=RPM),
        c("Ladedruck [mbar]", 980, 1620, manifold_pressure=MBAR), c("Ladedruck Sollwert [mbar]", 980, 1600),
        c("Kühlmitteltemperatur [°C]", 21, 60, 88, coolant_temperature=C),
        c("Ansauglufttemperatur [°C]", 18, 24, 30, intake_temperature=C),
        c("Motoröltemperatur [°C]", 22, 60, 96, oil_temperature=C), c("Öldruck [bar]", 4.5, 5.2, 2.1, oil_pressure=BAR),
        c("Fahrpedalstellung [%]", 0, 70, pedal_position=PERCENT), c("Drosselklappe [%]", 2, 80, throttle_position=PERCENT),
        c("Fahrzeuggeschwindigkeit [km/h]", 0, 80, road_speed=KMH), c("Lambda-Istwert", 1.0, 0.86, **{"lambda": ONE}),
        c("Lambda-Sollwert", 1.0, 0.85), c("Bordnetzspannung [V]", 13.8, 14.2, battery_voltage=ONE),
        c("Umgebungstemperatur [°C]", 15, 15, ambient_temperature=C), c("Getriebeöltemperatur [°C]", 20, 40, 60),
        c("Motorlast [%]", 20, 90, engine_load=PERCENT), c("Gang", 1, 3, form="{:.0f}", gear=ONE),
    ], time="Zeit [s]", silent=["Ladedruck Sollwert [mbar]", "Lambda-Sollwert", "Getriebeöltemperatur [°C]"], **_HOW),
    wide("French", [
        c("Régime moteur (tr/min)", 850, 3600, engine_speed=RPM),
        c("Pression d'admission (kPa)", 35, 98, manifold_pressure=KPA),
        c("Température du liquide de refroidissement (°C)", 21, 60, 88, coolant_temperature=C),
        c("Température d'huile (°C)", 22, 60, 96, oil_temperature=C), c("Pression d'huile (bar)", 4.5, 5.2, 2.1, oil_pressure=BAR),
        c("Température d'air admission (°C)", 18, 24, 30, intake_temperature=C),
        c("Vitesse du véhicule (km/h)", 0, 80, road_speed=KMH), c("Position papillon (%)", 2, 80, throttle_position=PERCENT),
        c("Position de la pédale d'accélérateur (%)", 0, 70, pedal_position=PERCENT),
        c("Charge moteur (%)", 20, 90, engine_load=PERCENT), c("Tension batterie (V)", 13.8, 14.2, battery_voltage=ONE),
        c("Richesse", 1.0, 1.1), c("Rapport engagé", 1, 3, form="{:.0f}", gear=ONE),
    ], time="Temps (s)", silent=["Richesse"], **_HOW),
    wide("Spanish", [
        c("Revoluciones del motor (rpm)", 850, 3600, engine_speed=RPM),
        c("Presión de admisión (kPa)", 35, 98, manifold_pressure=KPA),
        c("Temperatura del refrigerante (°C)", 21, 60, 88, coolant_temperature=C),
        c("Temperatura del aceite (°C)", 22, 60, 96, oil_temperature=C), c("Presión de aceite (bar)", 4.5, 5.2, 2.1, oil_pressure=BAR),
        c("Velocidad del vehículo (km/h)", 0, 80, road_speed=KMH), c("Posición del acelerador (%)", 2, 80),
        c("Temperatura del aire de admisión (°C)", 18, 24, 30, intake_temperature=C),
        c("Carga del motor (%)", 20, 90, engine_load=PERCENT), c("Voltaje de la batería (V)", 13.8, 14.2, battery_voltage=ONE),
    ], time="Tiempo (s)", only=False, **_HOW),
    wide("Italian", [
        c("Giri motore (giri/min)", 850, 3600, engine_speed=RPM),
        c("Pressione aspirazione (kPa)", 35, 98, manifold_pressure=KPA),
        c("Temperatura acqua (°C)", 21, 60, 88, coolant_temperature=C),
        c("Temperatura olio (°C)", 22, 60, 96, oil_temperature=C), c("Pressione olio (bar)", 4.5, 5.2, 2.1, oil_pressure=BAR),
        c("Velocità veicolo (km/h)", 0, 80, road_speed=KMH), c("Posizione farfalla (%)", 2, 80, throttle_position=PERCENT),
        c("Temperatura aria aspirata (°C)", 18, 24, 30, intake_temperature=C), c("Marcia", 1, 3, form="{:.0f}", gear=ONE),
        c("Tensione batteria (V)", 13.8, 14.2, battery_voltage=ONE),
    ], time="Tempo (s)", **_HOW),
    wide("Dutch", [
        c("Motortoerental (tpm)", 850, 3600, engine_speed=RPM), c("Inlaatdruk (kPa)", 35, 98, manifold_pressure=KPA),
        c("Koelvloeistoftemperatuur (°C)", 21, 60, 88, coolant_temperature=C),
        c("Olietemperatuur (°C)", 22, 60, 96, oil_temperature=C), c("Oliedruk (bar)", 4.5, 5.2, 2.1, oil_pressure=BAR),
        c("Rijsnelheid (km/u)", 0, 80, road_speed=KMH), c("Gasklepstand (%)", 2, 80, throttle_position=PERCENT),
    ], time="Tijd (s)", **_HOW),
    wide("Portuguese", [
        c("Rotação do motor (rpm)", 850, 3600, engine_speed=RPM), c("Pressão do coletor (kPa)", 35, 98, manifold_pressure=KPA),
        c("Temperatura do líquido de arrefecimento (°C)", 21, 60, 88, coolant_temperature=C),
        c("Temperatura do óleo (°C)", 22, 60, 96, oil_temperature=C), c("Pressão do óleo (bar)", 4.5, 5.2, 2.1, oil_pressure=BAR),
        c("Velocidade do veículo (km/h)", 0, 80, road_speed=KMH), c("Posição da borboleta (%)", 2, 80, throttle_position=PERCENT),
    ], time="Tempo (s)", **_HOW),
    wide("Polish", [
        c("Obroty silnika (obr/min)", 850, 3600, engine_speed=RPM), c("Ciśnienie w kolektorze (kPa)", 35, 98, manifold_pressure=KPA),
        c("Temperatura płynu chłodzącego (°C)", 21, 60, 88, coolant_temperature=C),
        c("Temperatura oleju (°C)", 22, 60, 96, oil_temperature=C), c("Ciśnienie oleju (bar)", 4.5, 5.2, 2.1, oil_pressure=BAR),
        c("Prędkość pojazdu (km/h)", 0, 80, road_speed=KMH), c("Położenie przepustnicy (%)", 2, 80, throttle_position=PERCENT),
        c("Napięcie akumulatora (V)", 13.8, 14.2, battery_voltage=ONE),
    ], time="Czas (s)", **_HOW),
    wide("Swedish", [
        c("Motorvarvtal (varv/min)", 850, 3600, engine_speed=RPM), c("Kylvätsketemperatur (°C)", 21, 60, 88, coolant_temperature=C),
        c("Oljetryck (bar)", 4.5, 5.2, 2.1, oil_pressure=BAR), c("Hastighet (km/h)", 0, 80, road_speed=KMH),
        c("Insugstryck (kPa)", 35, 98, manifold_pressure=KPA), c("Oljetemperatur (°C)", 22, 60, 96, oil_temperature=C),
    ], time="Tid (s)", **_HOW),
    wide("Czech", [
        c("Otáčky motoru (1/min)", 850, 3600, engine_speed=RPM), c("Teplota chladicí kapaliny (°C)", 21, 60, 88, coolant_temperature=C),
        c("Tlak oleje (bar)", 4.5, 5.2, 2.1, oil_pressure=BAR), c("Rychlost vozidla (km/h)", 0, 80, road_speed=KMH),
        c("Tlak v sání (kPa)", 35, 98, manifold_pressure=KPA), c("Teplota oleje (°C)", 22, 60, 96, oil_temperature=C),
    ], time="Čas (s)", **_HOW),
]  # fmt: skip
